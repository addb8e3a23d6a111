"""Points (PNT) of a parent, in runs or not: reading their texts, and laying other texts over them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from taskdata.geometry.arrays import Points
from taskdata.isoxml.facts import letter
from taskdata.isoxml.to_document.points import degrees
from taskdata.isoxml.tree.element import POINT, Element, Node, PointRun
from taskdata.model.shapes import PointKind

TYPE, NORTH, EAST = (letter(POINT, name) for name in ("PointType", "PointNorth", "PointEast"))
_PLACE = tuple(letter(POINT, name) for name in ("PointType", "PointNorth", "PointEast", "PointUp"))


def is_point(node: Node) -> bool:
    """Tell whether a child is a point or a run of points."""
    return isinstance(node, PointRun) or (isinstance(node, Element) and node.tag == POINT)


def types(parent: Element) -> list[str]:
    """Return the types of all child points as written, blank where absent."""
    found: list[str] = []
    for child in parent.children:
        if isinstance(child, PointRun):
            found += child.texts(TYPE) if TYPE in child.names else [""] * len(child)
        elif isinstance(child, Element) and child.tag == POINT:
            found.append(child.attributes.get(TYPE, ""))
    return found


def put_types(parent: Element, codes: Sequence[str]) -> None:
    """Write the type of every child point; all else of them stays."""
    rest = list(codes)
    for at, child in enumerate(parent.children):
        if isinstance(child, PointRun):
            here, rest = rest[: len(child)], rest[len(child) :]
            if TYPE not in child.names or child.texts(TYPE) != here:
                texts = {TYPE: here} | {name: child.texts(name) for name in child.names} | {TYPE: here}
                parent.children[at] = PointRun.of(texts)
        elif isinstance(child, Element) and child.tag == POINT:
            code, rest = rest[0], rest[1:]
            if child.attributes.get(TYPE) != code:
                child.attributes = {TYPE: code} | child.attributes | {TYPE: code}


def without(run: PointRun, names: Sequence[str]) -> PointRun:
    """Return a run without some of its attributes."""
    return PointRun.of({name: run.texts(name) for name in run.names if name not in names})


def run_of(points: Points, kind: PointKind = PointKind.OTHER) -> PointRun:
    """Return points (n, 2), longitude and latitude in degrees, as a run with new texts."""
    columns = {TYPE: [str(int(kind))] * len(points)}
    columns[NORTH] = [degrees(value) for value in points[:, 1].tolist()]
    columns[EAST] = [degrees(value) for value in points[:, 0].tolist()]
    return PointRun.of(columns)


def repeat_first(string: Element) -> bool:
    """Repeat the first point with a place at the end where the last lies elsewhere; tell whether that was done.

    Only type and place are repeated. A string with fewer than two points with a place stays as it is.
    """
    places = string.coordinates()
    readable = np.flatnonzero(np.isfinite(places).all(axis=1))
    if len(readable) < 2 or _same(places[readable[0]], places[readable[-1]]):
        return False
    row = _row(string, int(readable[0]))
    last = max(at for at, child in enumerate(string.children) if is_point(child))
    columns = {name: [text] for name, text in row.items() if name in _PLACE}
    string.children.insert(last + 1, PointRun.of(columns))
    return True


def _same(first: Points, last: Points) -> bool:
    over = first[1] == last[1] and abs(first[0]) == abs(last[0]) == 180.0
    return bool(over or (first == last).all())


def _row(string: Element, index: int) -> dict[str, str]:
    """Return the attributes of a child point."""
    for child in string.children:
        if isinstance(child, PointRun):
            if index < len(child):
                return {
                    name: child.column(name).texts(child.start + index, child.start + index + 1)[0]
                    for name in child.names
                }
            index -= len(child)
        elif isinstance(child, Element) and child.tag == POINT:
            if index == 0:
                return child.attributes
            index -= 1
    raise IndexError(index)
