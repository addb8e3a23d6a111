"""Binary point files become points."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import groupby

from taskdata.adapt.adaptation import Adaptation
from taskdata.amounts import counted
from taskdata.isoxml.binary.points import PointLayout, PointRecords, read_points
from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.tree.element import POINT, Element, Node, PointRun
from taskdata.phrases import phrase

_OF_THE_FILE = ("Filename", "Filelength")
_NUMBERS = frozenset(
    fact.letter for fact in elements()[POINT].attributes.values() if fact.type not in {"xs:string", "xs:ID"}
)
_OPTIONAL = frozenset(key for key in _NUMBERS if not elements()[POINT].attributes[key].required)
_LATER = ("PointHorizontalAccuracy", "PointVerticalAccuracy")


def expand_binary_points(work: Adaptation) -> None:
    """Write every point of a binary point file as an element, and drop the file (R-246).

    Coordinates keep all their digits. Points without a position are left out, and so is a file that is missing.
    """
    expand(work, lambda point: True)


def expand(work: Adaptation, wanted: Callable[[Element], bool], why: str | None = None) -> None:
    """Do so for those points alone that are wanted of those which name a file."""
    for point in work.tagged(POINT):
        name = point.get("Filename")
        if name is None or point.parent is None or not wanted(point):
            continue
        work.alter(point, phrase("binary points {name} become points in XML", name=name), why)
        nodes = list(_nodes(work, point, name))
        children = point.parent.children
        at = children.index(point)
        children[at : at + 1] = nodes
    for name in {point for point in work.document.others if _is_point_file(point)} - _still_named(work):
        del work.document.others[name]


def stored_count(work: Adaptation, point: Element) -> int:
    """Return how many points the file holds that a point names, 0 where it is missing."""
    blob = work.document.binary(point.get("Filename") or "")
    length = PointLayout.of(point.attributes).dtype.itemsize
    return 0 if blob is None or blob.fault or not length else blob.size // length


def _is_point_file(name: str) -> bool:
    return name.startswith(POINT) and name.endswith(".BIN") and name[len(POINT) : -len(".BIN")].isdigit()


def _still_named(work: Adaptation) -> set[str]:
    named = (point.get("Filename") for point in work.tagged(POINT))
    return {f"{name}.BIN".upper() for name in named if name}


def _nodes(work: Adaptation, point: Element, name: str) -> Iterator[Node]:
    """Yield the points of a file: one run in a line string, elements where each has a name or is a thing by itself."""
    records = read_points(work.document.binary(name), point.attributes)
    if records is None:
        work.drop(
            point,
            phrase("points of the missing file {name}", name=name),
            phrase("the file they would come from is missing"),
        )
        return
    columns, kept = _columns(point, records)
    if kept < len(records):
        work.drop(
            point,
            phrase("{count} of {name} without a position", count=counted(len(records) - kept, "point"), name=name),
            phrase("there is nothing to write"),
        )
    if records.trailing:
        work.drop(
            point,
            phrase("{count} bytes at the end of {name}", count=len(records.trailing), name=name),
            phrase("they are not a complete point"),
        )
    if not kept:
        return
    if kept > 1 and point.get("PointId") is not None:
        del columns[letter(POINT, "PointId")]
        work.drop(
            point,
            phrase("identifier {point_id}", point_id=point.get("PointId")),
            phrase("several points cannot share it"),
        )
    in_line = point.parent is not None and point.parent.tag == "LSG"
    for block in _blocks(columns):
        run = PointRun.of(block)
        if in_line and _NUMBERS.issuperset(block):
            yield run
            continue
        for row in run.rows():
            yield Element(POINT, row, file=point.file, line=point.line, parent=point.parent)


def _blocks(columns: dict[str, list[str]]) -> Iterator[dict[str, list[str]]]:
    """Yield the points in blocks that have the same attributes: a value that is not available is none."""
    absent = [key for key, texts in columns.items() if key in _OPTIONAL and "" in texts]
    if not absent:
        yield columns
        return
    at = 0
    for there, block in groupby(zip(*([text != "" for text in columns[key]] for key in absent), strict=True)):
        until = at + sum(1 for _ in block)
        gone = {key for key, given in zip(absent, there, strict=True) if not given}
        yield {key: texts[at:until] for key, texts in columns.items() if key not in gone}
        at = until


def _columns(point: Element, records: PointRecords) -> tuple[dict[str, list[str]], int]:
    """Return the attributes of all points with a position, in the order of the point that names the file."""
    facts = elements()[POINT].attributes
    stored = {field.name: records.decimal_texts(field.name) for field in records.layout.fields}
    good = [
        at
        for at in range(len(records))
        if all(stored.get(name, [""] * len(records))[at] is not None for name in ("PointNorth", "PointEast"))
    ]
    columns: dict[str, list[str]] = {}
    for key, text in point.attributes.items():
        name = facts[key].name if key in facts else key
        if name in _OF_THE_FILE or (name in _LATER and name in stored):
            continue
        texts = stored.get(name)
        columns[key] = [text] * len(good) if texts is None else [texts[at] or "" for at in good]
    return columns, len(good)
