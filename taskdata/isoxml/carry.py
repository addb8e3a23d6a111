"""A document as two plain tables that any GIS format can hold, and back.

The tables carry every element, attribute, order and byte; the layers beside them are a view for people. Line numbers
are not carried. ``schemas/README.md`` describes the columns.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterator, Sequence
from typing import Any

from taskdata.errors import SourceError
from taskdata.isoxml.document import Document, XmlFile
from taskdata.isoxml.element import Element, PointRun, Stray
from taskdata.isoxml.source import Blob
from taskdata.model.carried import Carried, CarriedElement, CarriedFile

PART_SIZE = 16 << 20
_POINTS = "#points"
_OTHER = "other"


def to_tables(document: Document) -> Carried:
    """Return everything in ``document`` as tables; keys are those of ``Document.keys``."""
    elements = tuple(_elements(document))
    files = (*(_xml_file(file) for file in document.xml_files), *_other_files(document))
    return Carried(elements, files)


def from_tables(carried: Carried, source: str) -> Document:
    """Return the document that the tables hold.

    Raises
    ------
    SourceError
        The tables were changed so that they no longer fit together.
    """
    try:
        return _document(carried, source)
    except (KeyError, IndexError, ValueError, TypeError, AttributeError, zlib.error) as error:
        raise SourceError(
            "the carried tables do not fit together",
            where=source,
            why=f"{type(error).__name__}: {error}",
            remedy="They were changed outside this program; remove them to read the layers alone",
        ) from error


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
    stack: list[tuple[int, Element | PointRun | Stray]] = [(-1, root)]
    key = first
    while stack:
        parent, node = stack.pop()
        yield _row(key, parent, name, node)
        if isinstance(node, Element):
            stack.extend((key, child) for child in reversed(node.children))
        key += 1


def _row(key: int, parent: int, name: str, node: Element | PointRun | Stray) -> CarriedElement:
    if isinstance(node, Element):
        return CarriedElement(key, parent, name, node.tag, _json(node.attributes))
    if isinstance(node, PointRun):
        columns = {letter: _column(node.texts(letter)) for letter in node.names}
        return CarriedElement(key, parent, name, _POINTS, _json({"count": len(node), "columns": columns}))
    return CarriedElement(key, parent, name, f"#{node.kind}", _json(node.text))


def _column(texts: list[str]) -> str | list[str]:
    """Pack the values of a run: one text split at blanks, ``=`` and a text if all are equal, else a list."""
    if any(not text or " " in text or text[0] == "=" for text in (texts if len(texts) < 100 else set(texts))):
        return texts
    return f"={texts[0]}" if all(text == texts[0] for text in texts) else " ".join(texts)


def _texts(packed: str | list[str], count: int) -> Sequence[str]:
    if isinstance(packed, list):
        return packed
    return [packed[1:]] * count if packed.startswith("=") else packed.split(" ")


def _json(content: object) -> str:
    return json.dumps(content, ensure_ascii=False, separators=(",", ":"))


def _xml_file(file: XmlFile) -> CarriedFile:
    facts = {"encoding": file.encoding, "declared": file.declared, "mark": file.mark, "guessed": file.guessed}
    return CarriedFile(file.name, file.role, 0, _json(facts), b"")


def _other_files(document: Document) -> Iterator[CarriedFile]:
    for blob in document.others.values():
        packer = zlib.compressobj()
        packed = bytearray()
        with blob.opener() as stream:
            while chunk := stream.read(PART_SIZE):
                packed += packer.compress(chunk)
        packed += packer.flush()
        facts = _json({"size": blob.size})
        for part, start in enumerate(range(0, len(packed), PART_SIZE)):
            yield CarriedFile(blob.name, _OTHER, part, facts, bytes(packed[start : start + PART_SIZE]))


def _document(carried: Carried, source: str) -> Document:
    document = Document(source, [])
    nodes: dict[int, Element] = {}
    rooted: dict[str, XmlFile] = {}
    facts = {item.name: item for item in carried.files if item.role != _OTHER}
    before: dict[str, list[Stray]] = {}
    for row in sorted(carried.elements, key=lambda item: item.key):
        content: Any = json.loads(row.content)
        if row.parent >= 0:
            node = _node(row, content)
            nodes[row.parent].append(node)
        elif not row.tag.startswith("#"):
            node = Element(row.tag, content, file=row.file)
            rooted[row.file] = _file(facts[row.file], node, before.get(row.file, []))
        else:
            stray = Stray(row.tag[1:], content)
            strays = rooted[row.file].after if row.file in rooted else before.setdefault(row.file, [])
            strays.append(stray)
            continue
        if isinstance(node, Element):
            nodes[row.key] = node
    document.xml_files.extend(rooted[item.name] for item in carried.files if item.role != _OTHER)
    _unpack_others(document, carried.files)
    return document


def _node(row: CarriedElement, content: Any) -> Element | PointRun | Stray:
    if row.tag == _POINTS:
        columns = content["columns"]
        return PointRun.of({letter: _texts(columns[letter], content["count"]) for letter in columns})
    if row.tag.startswith("#"):
        return Stray(row.tag[1:], content)
    return Element(row.tag, content, file=row.file)


def _file(row: CarriedFile, root: Element, before: list[Stray]) -> XmlFile:
    return XmlFile(row.name, row.role, root, before=before, **json.loads(row.facts))


def _unpack_others(document: Document, files: Sequence[CarriedFile]) -> None:
    parts: dict[str, list[CarriedFile]] = {}
    for item in files:
        if item.role == _OTHER:
            parts.setdefault(item.name, []).append(item)
    for name, pieces in parts.items():
        packed = b"".join(piece.content for piece in sorted(pieces, key=lambda piece: piece.part))
        blob = Blob.of(name, _inflated(packed, int(json.loads(pieces[0].facts)["size"])))
        taken = name.upper() in document.others
        document.others[name if taken else name.upper()] = blob


def _inflated(packed: bytes, size: int) -> bytes:
    """Unpack to the stated size and not one byte more, whatever the data would like."""
    content = zlib.decompressobj().decompress(packed, size) if size else b""
    if len(content) != size:
        raise ValueError(f"{len(content)} bytes instead of {size}")
    return content
