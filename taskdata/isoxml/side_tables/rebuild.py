"""The document that carried tables hold, if they still fit together.

The tables lie in files that anybody can edit, so nothing in them is taken on trust: not the names of files, not what
must be well-formed XML, not the size of anything.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Sequence
from typing import Any

from taskdata import limits
from taskdata.errors import UnfitError
from taskdata.isoxml.facts import ROOT
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import is_plain_name
from taskdata.isoxml.reading.builder import MAX_DEPTH
from taskdata.isoxml.tree.characters import is_name, is_stray, is_text
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import Element, OtherNode, PointRun
from taskdata.isoxml.tree.point_stores import PointStores
from taskdata.model.carried import Carried, CarriedElement, CarriedFile
from taskdata.progress import each

OTHER = "other"
POINTS = "#points"
ROLES = ("main", "external", "header", "linklist")
_VALUE_SIZE = 16
_FACTS: dict[str, Any] = {
    "encoding": (str, type(None)),
    "declared": bool,
    "mark": bool,
    "spaced": bool,
    "guessed": (str, type(None)),
}


class Rebuilding:
    """One run over two tables; ``document`` is what they hold.

    Raises
    ------
    ValueError, KeyError, TypeError, AttributeError, ArithmeticError, RecursionError, zlib.error
        They do not fit together.
    """

    def __init__(self, carried: Carried, source: str) -> None:
        self.document = Document(source, [])
        self._facts = {item.name: item for item in carried.files if item.role != OTHER}
        self._rooted: dict[str, XmlFile] = {}
        self._before: dict[str, list[OtherNode]] = {}
        self._stores = PointStores()
        self._elements: dict[int, tuple[Element, int]] = {}
        self._packed = sum(len(row.content) for row in carried.elements)
        self._packed += sum(len(row.content) for row in carried.files)
        self._taken = 0
        self._check_files(carried.files)
        rows = sorted(carried.elements, key=lambda item: item.key)
        made = [self._place(at, row) for at, row in enumerate(each(rows, "Rebuilding the set", "elements"))]
        self._stores.seal()
        self.document.xml_files.extend(self._rooted.values())
        self._check_order(made)
        self._unpack_others(carried.files)

    def _check_files(self, files: Sequence[CarriedFile]) -> None:
        for item in files:
            _demand(item.role in {*ROLES, OTHER}, f"{item.name} has the unknown role {item.role}")
            _demand(is_plain_name(item.name) and is_text(item.name), f"{item.name!r} is no name of a file")
        xml = [item for item in files if item.role != OTHER]
        _demand(len({item.name.upper() for item in xml}) == len(xml), "an XML file occurs twice")

    def _place(self, at: int, row: CarriedElement) -> Element | PointRun | OtherNode:
        """Make the node of a row and put it where it belongs."""
        _demand(row.key == at, f"the row with key {at} is missing or occurs twice")
        node = self._node(row)
        if row.parent >= 0:
            parent, depth = self._elements[row.parent]
            _demand(row.file == parent.file, f"row {at} is in another file than its parent")
            parent.append(node)
        else:
            depth = 0
            self._place_outermost(row, node)
        if isinstance(node, Element):
            _demand(depth < MAX_DEPTH, f"row {at} is nested deeper than {MAX_DEPTH} levels")
            self._elements[at] = (node, depth + 1)
        return node

    def _place_outermost(self, row: CarriedElement, node: Element | PointRun | OtherNode) -> None:
        file = self._rooted.get(row.file)
        if isinstance(node, Element):
            _demand(file is None, f"{row.file} has two roots")
            self._rooted[row.file] = _xml_file(self._facts[row.file], node, self._before.pop(row.file, []))
            return
        _demand(isinstance(node, OtherNode) and node.kind != "text", f"row {row.key} is outside a root")
        (self._before.setdefault(row.file, []) if file is None else file.after).append(node)  # type: ignore[arg-type]

    def _node(self, row: CarriedElement) -> Element | PointRun | OtherNode:
        content: Any = json.loads(row.content)
        if row.tag == POINTS:
            return self._run(content)
        if row.tag.startswith("#"):
            _demand(is_stray(row.tag[1:], content), f"row {row.key} cannot be in an XML file")
            return OtherNode(row.tag[1:], content)
        _demand(is_name(row.tag) and all(map(is_name, content)), f"row {row.key} has a name that XML does not allow")
        _demand(all(map(is_text, content.values())), f"row {row.key} has a value that XML does not allow")
        return Element(row.tag, content, file=row.file)

    def _run(self, content: dict[str, Any]) -> PointRun:
        count = content["count"]
        _demand(isinstance(count, int) and count > 0, f"a run has {count} points")
        self._take(count * len(content["columns"]) * _VALUE_SIZE, f"a run of {count} points")
        columns = {name: unpacked(packed, count) for name, packed in content["columns"].items()}
        _demand(bool(columns) and all(map(is_name, columns)), "a run of points has no names that XML allows")
        _demand(
            all(len(texts) == count for texts in columns.values()), f"a run does not have {count} points in each column"
        )
        _demand(
            all(is_text("".join(texts)) for texts in columns.values()), "a point has a value that XML does not allow"
        )
        run = self._stores.begin(tuple(columns))
        values = [""] * (count * len(columns))
        for at, texts in enumerate(columns.values()):
            values[at :: len(columns)] = texts
        run.store.pending += values
        run.store.pending_lines.frombytes(bytes(count * run.store.pending_lines.itemsize))
        run.stop += count
        return run

    def _take(self, size: int, what: str) -> None:
        """Count what a part of the tables unpacks to, in bytes; all of it together has a limit."""
        self._taken += max(0, size)
        fits = size >= 0 and self._taken <= limits.room_for(self._packed)
        name = limits.binding(self._packed)
        _demand(fits, f"{what} would take too much memory: {limits.told(name)}, {limits.variable(name)} raises it")

    def _check_order(self, made: list[Element | PointRun | OtherNode]) -> None:
        """Check that keys count the nodes in document order, which layers rely on, and that the main file leads."""
        roots = [(file.role, file.root.tag == ROOT) for file in self.document.xml_files]
        _demand(roots[:1] == [("main", True)], "the main file does not come first")
        _demand(all(role != "main" for role, _ in roots[1:]), "there are two main files")
        _demand(set(self._rooted) == set(self._facts), "an XML file has no elements")
        nodes = list(self.document.nodes())
        same = len(nodes) == len(made) and all(one is two for one, two in zip(nodes, made, strict=True))
        _demand(same, "the keys do not count the rows in document order")

    def _unpack_others(self, files: Sequence[CarriedFile]) -> None:
        parts: dict[str, list[CarriedFile]] = {}
        for item in files:
            if item.role == OTHER:
                parts.setdefault(item.name, []).append(item)
        others = self.document.others
        for name, pieces in parts.items():
            pieces.sort(key=lambda piece: piece.part)
            _demand([piece.part for piece in pieces] == list(range(len(pieces))), f"a part of {name} is missing")
            packed = b"".join(piece.content for piece in pieces)
            size = int(json.loads(pieces[0].facts)["size"])
            self._take(size, f"{name}, a file of {size} bytes,")
            blob = Blob.of(name, _inflated(packed, size))
            others[name if name.upper() in others else name.upper()] = blob


def unpacked(packed: str | list[str], count: int) -> list[str]:
    """Return the values of a run from what ``carry`` made of them."""
    if isinstance(packed, list):
        return packed
    return [packed[1:]] * count if packed.startswith("=") else packed.split(" ")


def _xml_file(row: CarriedFile, root: Element, before: list[OtherNode]) -> XmlFile:
    facts = json.loads(row.facts)
    _demand(set(facts) == set(_FACTS), f"the facts of {row.name} are not {', '.join(_FACTS)}")
    _demand(all(isinstance(facts[name], kind) for name, kind in _FACTS.items()), f"a fact of {row.name} is wrong")
    return XmlFile(row.name, row.role, root, before=before, **facts)


def _inflated(packed: bytes, size: int) -> bytes:
    """Unpack to the stated size and not one byte more, whatever the data would like."""
    unpacker = zlib.decompressobj()
    content = unpacker.decompress(packed, size) if size else b""
    rest = unpacker.decompress(unpacker.unconsumed_tail if size else packed, 1)
    _demand(not rest and unpacker.eof and len(content) == size, f"a file does not have the {size} bytes it should have")
    return content


def _demand(holds: bool, otherwise: str) -> None:
    if not holds:
        raise UnfitError(otherwise)
