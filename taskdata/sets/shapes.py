"""What differs in where things lie: outlines, lines, points, grids; and in what is said of their points."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from taskdata.amounts import counted
from taskdata.dataclass import dataclass
from taskdata.findings import Fact
from taskdata.geometry.geodesy import azimuth, ring_areas
from taskdata.isoxml.binary.points import read_points
from taskdata.isoxml.facts import letter
from taskdata.isoxml.tree.element import POINT, Element, PointRun
from taskdata.model.shapes import Coordinates
from taskdata.results.comparison import Difference, DifferenceKind
from taskdata.sets.moves import Move, move, reversed_way
from taskdata.sets.side import Side
from taskdata.sets.wording import attribute_name, is_ring, named, spoken

PLACES = {
    POINT: ("PointEast", "PointNorth"),
    "PTN": ("PositionEast", "PositionNorth"),
    "BSN": ("BaseStationEast", "BaseStationNorth"),
    "GRD": ("GridMinimumEastPosition", "GridMinimumNorthPosition"),
}
"""Attributes that say together where an element lies."""

_SHOWN = 3


@dataclass(frozen=True, slots=True)
class MovedOutline:
    """An outline that lies elsewhere, before its areas are computed: the difference, and (n, 2) degrees of both."""

    difference: Difference
    before: Coordinates
    after: Coordinates


def place_letters(tag: str) -> frozenset[str]:
    """Return the letters of the attributes that say where an element lies."""
    return frozenset(letter(tag, name) for name in PLACES.get(tag, ()))


def place_differences(
    one: Element, two: Element, sides: tuple[Side, Side], tolerance_m: float
) -> Iterator[Difference | MovedOutline]:
    """Yield how far a line, outline, point, position or grid lies from its counterpart, and how its points differ."""
    if one.tag == "LSG":
        if not _alike(one, two):
            yield from _moved(one, two, _course(sides[0], one), _course(sides[1], two), tolerance_m)
            yield from _words_of_points(one, two)
    elif one.tag == POINT and (one.get("Filename") or two.get("Filename")):
        if one.parent is None or one.parent.tag != "LSG":  # else its points are points of the line
            yield from _moved(one, two, _stored(sides[0], one), _stored(sides[1], two), tolerance_m)
    elif one.tag in PLACES:
        yield from _moved(one, two, position(one), position(two), tolerance_m)


def thing_of(element: Element) -> str:
    """Say whose line or outline it is: the polygon, the pattern, the field."""
    parent = element.parent
    if element.tag == "LSG" and element.id is None and parent is not None and parent.tag == "GPN":
        return spoken(parent)
    return named(element)


def _moved(
    one: Element, two: Element, before: Coordinates, after: Coordinates, tolerance_m: float
) -> Iterator[Difference | MovedOutline]:
    if np.array_equal(before, after, equal_nan=True):
        return
    left, right = before[_on_earth(before)], after[_on_earth(after)]
    if not (len(left) and len(right)) and (_names_file(one) or _names_file(two)):
        return  # that the file is missing is told of the file
    if not len(left) or not len(right) or np.array_equal(left, right):
        yield _said(one, two, f"points of {thing_of(one)} that lie anywhere on Earth", len(left), len(right))
        return
    ring = is_ring(one)
    if not ring and reversed_way(left, right):
        what = f"direction of {thing_of(one)}, from first to last point, degrees"
        yield _said(one, two, what, _heading(left), _heading(right))
        right = right[::-1]
    way = move(left, right, ring=ring)
    if way.distance_m <= tolerance_m:
        return
    counts: list[str | None] = [None, None]
    if ring:
        what = f"{thing_of(one)}, area in m²"
    else:
        what = f"{thing_of(one)}: {_told(way, lines=len(left) > 1 and len(right) > 1)}"
        counts = [f"{len(points)} points" if len(left) != len(right) else None for points in (left, right)]
    item = replace(
        _said(one, two, what, counts[0], counts[1]),
        kind=DifferenceKind.MOVED,
        distance_m=way.distance_m,
        vector=(way.east_m, way.north_m),
    )
    yield MovedOutline(item, left, right) if ring else item


def with_areas(found: Sequence[Difference | MovedOutline]) -> Iterator[Difference]:
    """Yield differences, areas of outlines put in: computed all at once, which takes a fraction of the time."""
    rings = [ring for item in found if isinstance(item, MovedOutline) for ring in (item.before, item.after)]
    areas = iter([round(abs(area), 2) for area in ring_areas(rings).tolist()])
    for item in found:
        if isinstance(item, MovedOutline):
            yield replace(item.difference, before=next(areas), after=next(areas))
        else:
            yield item


def _said(one: Element, two: Element, what: str, before: Fact, after: Fact) -> Difference:
    ids = one.nearest_id(), two.nearest_id()
    return Difference(DifferenceKind.CHANGED, *ids, what, before, after, thing=thing_of(one))


def _heading(points: Coordinates) -> float:
    return round(azimuth(points[0], points[-1]) % 360.0, 2)


def _names_file(element: Element) -> bool:
    return any(item.tag == POINT and item.get("Filename") for item in (element, *element.elements(POINT)))


def _told(way: Move, *, lines: bool) -> str:
    told = f"{_plain(way.east_m, 3)} m east, {_plain(way.north_m, 3)} m north"
    if not lines:
        return told
    return (
        f"{told}; {_plain(way.along_m, 3)} m along, {_plain(way.across_m, 3)} m to the right; "
        f"turned by {_plain(way.turned_deg, 4)}°"
    )


def _plain(number: float, digits: int) -> str:
    """Return a number without a minus before zeros."""
    return f"{round(number, digits) + 0.0:.{digits}f}"


def _on_earth(points: Coordinates) -> NDArray[np.bool_]:
    finite = np.isfinite(points).all(axis=1)
    return np.asarray(finite & (np.abs(points[:, 1]) <= 90.0) & (np.abs(points[:, 0]) <= 180.0))


def position(element: Element) -> Coordinates:
    """Return where an element lies by its attributes, (1, 2) degrees, NaN where it does not say."""
    return np.array([[_number(element.get(name)) for name in PLACES[element.tag]]])


def _number(text: str | None) -> float:
    try:
        return float(text) if text is not None else np.nan
    except ValueError:
        return np.nan


def _course(side: Side, line: Element) -> Coordinates:
    """Return the points of a line string, those of binary files included, (n, 2) degrees."""
    if not _names_file(line):
        return line.coordinates()
    parts: list[Coordinates] = []
    for child in line.children:
        if isinstance(child, PointRun):
            names = [letter(POINT, name) for name in PLACES[POINT]]
            parts.append(np.column_stack([child.floats(name) for name in names]))
        elif isinstance(child, Element) and child.tag == POINT:
            parts.append(_stored(side, child))
    return np.vstack(parts)


def _stored(side: Side, point: Element) -> Coordinates:
    """Return the points of the binary file that a point names; the point itself where it names none."""
    if point.get("Filename") is None:
        return point.own_coordinates()
    found = read_points(side.binary(point), point.attributes)
    if found is None:
        return np.empty((0, 2))
    return np.column_stack([found.longitude(), found.latitude()])


def _alike(one: Element, two: Element) -> bool:
    """Tell quickly whether two lines hold the same numbers, each in one run."""
    if len(one.children) != 1 or len(two.children) != 1:
        return False
    left, right = one.children[0], two.children[0]
    if not isinstance(left, PointRun) or not isinstance(right, PointRun) or left.names != right.names:
        return False
    return all(_same_column(left, right, name) for name in left.names)


def _same_column(left: PointRun, right: PointRun, name: str) -> bool:
    one, two = left.column(name), right.column(name)
    here, there = slice(left.start, left.stop), slice(right.start, right.stop)
    same = np.array_equal(one.digits[here], two.digits[there]) and np.array_equal(one.scaled[here], two.scaled[there])
    return same and (not (one.odd or two.odd) or left.texts(name) == right.texts(name))


def _words_of_points(one: Element, two: Element) -> Iterator[Difference]:
    """Yield what is said of the points of a line besides where they lie: types, heights, names."""
    left, right = _said_of_points(one), _said_of_points(two)
    for name in dict.fromkeys([*left, *right]):
        before, after = left.get(name, Counter()), right.get(name, Counter())
        if before == after:
            continue
        if before.total() != after.total():  # points came or went; only values that are new or gone are told
            before, after = _without(before, after), _without(after, before)
            gone, come = before, after
        else:
            gone, come = before - after, after - before
        if gone or come:
            count = max(gone.total(), come.total())
            what = f"{attribute_name(Element(POINT), name)} of {counted(count, 'point')} of {thing_of(one)}"
            yield _said(one, two, what, _listed(gone), _listed(come))


def _without(one: Counter[str], two: Counter[str]) -> Counter[str]:
    return Counter({text: count for text, count in one.items() if text not in two})


def _listed(values: Counter[str]) -> str | None:
    shown = ", ".join(list(values)[:_SHOWN])
    return (shown + (", ..." if len(values) > _SHOWN else "")) or None


def _said_of_points(line: Element) -> dict[str, Counter[str]]:
    """Return by attribute how many points of a line say what; those that name a file stand for themselves."""
    found: dict[str, Counter[str]] = {}
    skipped = place_letters(POINT)
    for child in line.children:
        if isinstance(child, PointRun):
            for name in child.names:
                if name not in skipped:
                    found.setdefault(name, Counter()).update(child.texts(name))
        elif isinstance(child, Element) and child.tag == POINT and not child.get("Filename"):
            for name, text in child.attributes.items():
                if name not in skipped:
                    found.setdefault(name, Counter())[text] += 1
    return found
