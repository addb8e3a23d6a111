"""Outlines, lines and points that lie elsewhere in the second set, many at once: that takes a fraction of the time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from taskdata.amounts import counted
from taskdata.dataclass import dataclass
from taskdata.findings import Fact
from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import azimuth, ring_areas
from taskdata.isoxml.tree.element import POINT, Element
from taskdata.model.shapes import Coordinates
from taskdata.phrases import phrase
from taskdata.results.comparison import Aspect, Difference, DifferenceKind
from taskdata.sets.moves import Move, laid, moves, runs_back
from taskdata.sets.wording import is_ring, named, spoken


@dataclass(frozen=True, slots=True)
class Placed:
    """Two elements that are the same, and where they lie, (n, 2) degrees each."""

    one: Element
    two: Element
    before: Coordinates
    after: Coordinates


class _Apart(NamedTuple):
    """Two places that differ: the number of their pair, the pair, and what of it is on Earth."""

    at: int
    pair: Placed
    left: Coordinates
    right: Coordinates


def differences_of_places(pairs: Sequence[Placed], tolerance_m: float) -> list[list[Difference]]:
    """Return of each pair how far its second lies from its first, and which way it runs; nothing of equal ones."""
    found: list[list[Difference]] = [[] for _ in pairs]
    apart: list[_Apart] = []
    for at in _differing(pairs):
        one = pairs[at]
        left, right = one.before[_on_earth(one.before)], one.after[_on_earth(one.after)]
        if len(left) and len(right) and not np.array_equal(left, right):
            apart.append(_Apart(at, one, left, right))
        elif (len(left) and len(right)) or not (names_file(one.one) or names_file(one.two)):
            what = phrase(
                "points of {one} that lie anywhere on Earth", one=thing_of(one.one)
            )  # a missing file is told of the file
            found[at].append(_said(one, what, len(left), len(right)))
    for item, differences in zip(apart, _moved(apart, tolerance_m), strict=True):
        found[item.at] += differences
    return found


def thing_of(element: Element) -> str:
    """Say whose line or outline it is: the polygon, the pattern, the field."""
    parent = element.parent
    if element.tag == "LSG" and element.id is None and parent is not None and parent.tag == "GPN":
        return spoken(parent)
    return named(element)


def names_file(element: Element) -> bool:
    """Tell whether points of a line, or the point, stand in a binary file."""
    return any(item.tag == POINT and item.get("Filename") for item in (element, *element.elements(POINT)))


def _differing(pairs: Sequence[Placed]) -> Iterator[int]:
    """Yield the numbers of pairs whose points are not the same; what is no number is the same as another such."""
    alike = [at for at, pair in enumerate(pairs) if len(pair.before) == len(pair.after) > 0]
    same = [not len(pair.before) and not len(pair.after) for pair in pairs]
    if alike:
        one, two = (np.concatenate([getattr(pairs[at], side) for at in alike]) for side in ("before", "after"))
        equal = ((one == two) | (np.isnan(one) & np.isnan(two))).all(axis=1)
        starts = np.cumsum([0, *(len(pairs[at].before) for at in alike[:-1])])
        for at, is_same in zip(alike, np.logical_and.reduceat(equal, starts).tolist(), strict=True):
            same[at] = is_same
    return (at for at, is_same in enumerate(same) if not is_same)


def _moved(apart: Sequence[_Apart], tolerance_m: float) -> Iterator[list[Difference]]:
    """Yield how far places lie apart."""
    rings = [is_ring(item.pair.one) for item in apart]
    degrees, flat = [(item.left, item.right) for item in apart], laid([(item.left, item.right) for item in apart])
    turned = [not ring and runs_back(*both) for ring, both in zip(rings, flat, strict=True)]
    back = np.flatnonzero(turned).tolist()
    for at, again in zip(back, laid([_back(*degrees[at]) for at in back]), strict=True):
        degrees[at], flat[at] = _back(*degrees[at]), again
    ways = moves(degrees, flat, rings)
    wanted = [ring and way.distance_m > tolerance_m for ring, way in zip(rings, ways, strict=True)]
    outlines = [points for both, is_wanted in zip(degrees, wanted, strict=True) if is_wanted for points in both]
    areas = iter(np.round(np.abs(ring_areas(outlines)), 2).tolist())
    for item, way, ring, is_turned in zip(apart, ways, rings, turned, strict=True):
        told = [_direction(item)] if is_turned else []
        if way.distance_m > tolerance_m:
            told.append(_outline(item, way, next(areas), next(areas)) if ring else _line(item, way))
        yield told


def _back(one: Points, two: Points) -> tuple[Points, Points]:
    return one, two[::-1]


def _direction(item: _Apart) -> Difference:
    what = phrase("direction of {one}, from first to last point, degrees", one=thing_of(item.pair.one))
    return _said(item.pair, what, _heading(item.left), _heading(item.right))


def _outline(item: _Apart, way: Move, before: float, after: float) -> Difference:
    thing = thing_of(item.pair.one)
    return _elsewhere(item.pair, thing, phrase("{one}, area in m²", one=thing), way, (before, after))


def _line(item: _Apart, way: Move) -> Difference:
    thing, sizes = thing_of(item.pair.one), (len(item.left), len(item.right))
    what = phrase("{one}: {told}", one=thing, told=_told(way, lines=min(sizes) > 1))
    counts = (counted(sizes[0], "point"), counted(sizes[1], "point")) if sizes[0] != sizes[1] else (None, None)
    return _elsewhere(item.pair, thing, what, way, counts)


def _elsewhere(pair: Placed, thing: str, what: str, way: Move, said: tuple[Fact, Fact]) -> Difference:
    ids, vector = (pair.one.nearest_id(), pair.two.nearest_id()), (way.east_m, way.north_m)
    return Difference(DifferenceKind.MOVED, *ids, what, *said, way.distance_m, thing, Aspect.OWN, vector)


def _said(pair: Placed, what: str, before: Fact, after: Fact) -> Difference:
    ids = pair.one.nearest_id(), pair.two.nearest_id()
    return Difference(DifferenceKind.CHANGED, *ids, what, before, after, thing=thing_of(pair.one))


def _heading(points: Coordinates) -> float:
    return round(azimuth(points[0], points[-1]) % 360.0, 2)


def _told(way: Move, *, lines: bool) -> str:
    told = phrase("{east:.3f} m east, {north:.3f} m north", east=_plain(way.east_m), north=_plain(way.north_m))
    if not lines:
        return told
    return phrase(
        "{shift}; {along:.3f} m along, {across:.3f} m to the right; turned by {turned:.4f}°",
        shift=told,
        along=_plain(way.along_m),
        across=_plain(way.across_m),
        turned=_plain(way.turned_deg, 4),
    )


def _plain(number: float, digits: int = 3) -> float:
    """Return a number as it is shown, without a minus before zeros."""
    return round(number, digits) + 0.0


def _on_earth(points: Coordinates) -> NDArray[np.bool_]:
    finite = np.isfinite(points).all(axis=1)
    return np.asarray(finite & (np.abs(points[:, 1]) <= 90.0) & (np.abs(points[:, 0]) <= 180.0))
