"""A document as two plain tables that any GIS format can hold, and back.

The tables carry every element, attribute, order and byte; the layers beside them are a view for people. Line numbers
are not carried. ``schemas/README.md`` describes the columns.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Sequence
from typing import overload

from taskdata import strict_json
from taskdata.errors import SourceError, TargetError, unfit
from taskdata.isoxml.side_tables.packing import Packed, carried_files, packed_file
from taskdata.isoxml.side_tables.rebuild import POINTS, Rebuilding
from taskdata.isoxml.tree.characters import is_text
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import Element, OtherNode, PointRun
from taskdata.isoxml.writing.write import named_files
from taskdata.model.carried import Carried, CarriedElement, CarriedFile
from taskdata.progress import stage

_POINTS_AT_ONCE = 1 << 18
"""Points whose texts, those of all runs together, are held at once."""

_UNFIT = (LookupError, ValueError, TypeError, AttributeError, ArithmeticError, RecursionError, zlib.error)


def to_tables(document: Document) -> Carried:
    """Return everything in ``document`` as tables; keys are those of ``Document.keys``.

    Raises
    ------
    TargetError
        A file has a name that no table can hold, or under which the set could not be written again.
    """
    named_files(document)
    rows = WaitingElements(document)
    elements = rows if rows.are_long else tuple(rows)
    xml = tuple(_xml_file(file) for file in document.xml_files)
    return Carried(elements, carried_files(xml, tuple(_other_files(document))))


def from_tables(carried: Carried, source: str) -> Document:
    """Return the document that the tables hold.

    Raises
    ------
    SourceError
        The tables were changed so that they no longer fit together.
    """
    try:
        return Rebuilding(carried, source).document
    except _UNFIT as error:
        raise SourceError(
            "the carried tables do not match",
            where=source,
            why=unfit(error),
            remedy="They were changed outside this program; remove them to read only the layers",
        ) from error


class WaitingElements(Sequence[CarriedElement]):
    """The rows of the elements of a document, each made when one asks for it."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self._count = self._points = 0
        for node in document.nodes():
            self._count += 1
            self._points += len(node) if isinstance(node, PointRun) else 0

    @property
    def are_long(self) -> bool:
        """Whether their texts, of which most are those of points, are too much to be held at once."""
        return self._points > _POINTS_AT_ONCE

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[CarriedElement]:
        with stage("Carrying the set along", "elements", self._count) as advance:
            for row in _elements(self._document):
                yield row
                advance(1)

    @overload
    def __getitem__(self, at: int) -> CarriedElement: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[CarriedElement]: ...
    def __getitem__(self, at: int | slice) -> CarriedElement | Sequence[CarriedElement]:
        return tuple(self)[at]


def _elements(document: Document) -> Iterator[CarriedElement]:
    key = 0
    for file in document.xml_files:
        for strays, node in ((file.before, None), ([], file.root), (file.after, None)):
            for stray in strays:
                yield _row(key, -1, file.name, stray)
                key += 1
            if node is not None:
                for row in _tree(file.name, node, key):
                    yield row
                    key += 1


def _tree(name: str, root: Element, first: int) -> Iterator[CarriedElement]:
    stack: list[tuple[int, Element | PointRun | OtherNode]] = [(-1, root)]
    key = first
    while stack:
        parent, node = stack.pop()
        yield _row(key, parent, name, node)
        if isinstance(node, Element):
            stack.extend((key, child) for child in reversed(node.children))
        key += 1


def _row(key: int, parent: int, name: str, node: Element | PointRun | OtherNode) -> CarriedElement:
    if isinstance(node, Element):
        return CarriedElement(key, parent, name, node.tag, _json(node.attributes))
    if isinstance(node, PointRun):
        columns = {letter: _column(node.texts(letter)) for letter in node.names}
        return CarriedElement(key, parent, name, POINTS, _json({"count": len(node), "columns": columns}))
    return CarriedElement(key, parent, name, f"#{node.kind}", _json(node.text))


def _column(texts: list[str]) -> str | list[str]:
    """Pack the values of a run: one text split at blanks, ``=`` and a text if all are equal, else a list."""
    if any(not text or " " in text or text[0] == "=" for text in (texts if len(texts) < 100 else set(texts))):
        return texts
    return f"={texts[0]}" if all(text == texts[0] for text in texts) else " ".join(texts)


def _json(content: object) -> str:
    return strict_json.dumps(content, compact=True)


def _xml_file(file: XmlFile) -> CarriedFile:
    facts = {
        "encoding": file.encoding,
        "declared": file.declared,
        "mark": file.mark,
        "spaced": file.spaced,
        "guessed": file.guessed,
    }
    return CarriedFile(file.name, file.role, 0, _json(facts), b"")


def _other_files(document: Document) -> Iterator[Packed]:
    for blob in document.others.values():
        if not is_text(blob.name):
            raise TargetError(
                f"the file name {blob.name!a} cannot be kept",
                why="it is not in UTF-8, or holds a control character",
                remedy="Rename or remove the file in the source",
            )
        packed = packed_file(blob)
        if packed is not None:
            yield packed
