"""The one way from rings to ground: outer rings less the holes in them, islands in holes, several parts.

Rings are (n, 2) degrees as they are stored: open or closed, in any direction, on either side of the antimeridian,
round a pole. Each hole goes to the smallest outer ring around it, of its own polygon first, so that an island in a hole
stays ground. A ring that crosses itself counts with all that its loops enclose. What encloses nothing, or cuts nothing
out, is named in the result; nothing is left out in silence.

The same ground comes in three layouts: in metres of a plane (`in_plane`), in degrees with continuous longitudes, which
may run past ±180 (`in_degrees`), and cut at the antimeridian (`on_map`, and `pieces` with the rings as stored).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, NamedTuple, Protocol

import numpy as np
import shapely
from numpy.typing import ArrayLike

from taskdata.dataclass import dataclass
from taskdata.geometry import antimeridian
from taskdata.geometry.arrays import Points, as_points
from taskdata.geometry.holes import owners_of
from taskdata.geometry.loops import NOTHING, SHAPELESS, Polygon, RingFault, fault_of, is_simple, mended, only_polygons
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.rings import orient, unwrap


class Ringed(Protocol):
    """Whatever has outer and inner rings, (n, 2) degrees each."""

    @property
    def exteriors(self) -> Sequence[ArrayLike]:
        """Outer rings."""

    @property
    def interiors(self) -> Sequence[ArrayLike]:
        """Inner rings."""


class GroundPart(NamedTuple):
    """The rings of one polygon, (n, 2) degrees each."""

    exteriors: Sequence[ArrayLike]
    interiors: Sequence[ArrayLike] = ()


@dataclass(frozen=True, slots=True)
class BadRing:
    """A ring with a fault.

    Parameters
    ----------
    part : int
        Position of its polygon.
    number : int
        Position among the outer or, where ``is_hole``, the inner rings of that polygon.
    is_hole : bool
    fault : RingFault
        Of `RingFault.CROSSING` the ground that the loops enclose counts; any other ring counts for nothing.
    """

    part: int
    number: int
    is_hole: bool
    fault: RingFault


@dataclass(frozen=True, slots=True)
class Outlines:
    """Polygons with one outer ring each, rings as stored, in the order of their outer rings; and what is wrong."""

    polygons: list[Polygon]
    bad: tuple[BadRing, ...]


@dataclass(frozen=True, slots=True)
class Ground:
    """A valid shapely polygon or multi-polygon, None where no ring encloses anything; and what is wrong."""

    shape: Any
    bad: tuple[BadRing, ...]


class _Ring(NamedTuple):
    part: int
    number: int
    is_hole: bool
    points: Points

    def bad(self, fault: RingFault) -> BadRing:
        """Return it with a fault."""
        return BadRing(self.part, self.number, self.is_hole, fault)


def outlines(parts: Iterable[Ringed]) -> Outlines:
    """Return the polygons that rings make, each hole with its outer ring.

    Rings that no layer can show are left out and named: those with a coordinate that is no number or with fewer than
    three different points. All others are there, the named ones too: flat rings, rings beyond a pole, and holes
    outside, which go to the outer ring of their polygon with most ground in common or, else, the nearest.

    Parameters
    ----------
    parts : iterable of Ringed
        The polygons of one area.
    """
    found = _sorted(parts, SHAPELESS)
    return Outlines([(ring.points, [hole.points for hole in holes]) for ring, holes in found.polygons], found.bad)


def in_plane(parts: Iterable[Ringed], plane: LocalPlane) -> Ground:
    """Return the ground that rings enclose, in metres of a plane."""
    return _ground(_sorted(parts, NOTHING), lambda outer, holes: [_forward(plane, outer, holes)])


def in_degrees(parts: Iterable[Ringed]) -> Ground:
    """Return the ground that rings enclose, in degrees with continuous longitudes, which may run past ±180.

    A ring round a pole has no such shape; it is laid out as far as it goes. See `in_plane` for it.
    """
    found = _sorted(parts, NOTHING)
    middle = float(unwrap(found.polygons[0][0].points)[:, 0].mean()) if found.polygons else 0.0

    def beside(ring: Points) -> Points:
        points = unwrap(ring)
        turns = round((middle - float(points[:, 0].mean())) / 360.0)
        return points + np.array([360.0 * turns, 0.0]) if turns else points

    return _ground(found, lambda outer, holes: [(beside(outer), [beside(hole) for hole in holes])])


def on_map(parts: Iterable[Ringed]) -> Ground:
    """Return the ground that rings enclose, in degrees from -180 to 180, cut at the antimeridian."""
    return _ground(_sorted(parts, NOTHING), antimeridian.cut_polygon)


def pieces(parts: Iterable[Ringed]) -> tuple[list[Polygon], tuple[BadRing, ...]]:
    """Return polygons as a map shows them, from rings as they are stored, and what is wrong with these.

    Rings are closed, exteriors run counter-clockwise and holes clockwise, and all are cut at the antimeridian
    (RFC 7946, sections 3.1.6 and 3.1.9). Nothing is mended: see `outlines` for what is left out.
    """
    found = outlines(parts)
    whole = []
    for exterior, holes in found.polygons:
        for part, inside in antimeridian.cut_polygon(exterior, holes):
            if len(part) > 3:
                whole.append((orient(part), [orient(ring, ccw=False) for ring in inside if len(ring) > 3]))
    return whole, found.bad


def multipolygon(polygons: Sequence[Polygon]) -> Any:
    """Return one shapely multi-polygon of polygons as they are, None without any; it is valid where they are."""
    return shapely.MultiPolygon([shapely.Polygon(*polygon) for polygon in polygons]) if len(polygons) else None


class _Sorted(NamedTuple):
    polygons: list[tuple[_Ring, list[_Ring]]]
    bad: tuple[BadRing, ...]


def _sorted(parts: Iterable[Ringed], dropped: frozenset[RingFault]) -> _Sorted:
    """Return each outer ring with its holes, without rings of some faults; and every bad ring."""
    bad: list[BadRing] = []
    kept: list[_Ring] = []
    for part, item in enumerate(parts):
        for is_hole, rings in ((False, item.exteriors), (True, item.interiors)):
            for number, ring in enumerate(rings):
                points = as_points(ring)
                fault = fault_of(points)
                if fault is not None:
                    bad.append(BadRing(part, number, is_hole, fault))
                if fault not in dropped:
                    kept.append(_Ring(part, number, is_hole, points))
    outer, inner = ([ring for ring in kept if ring.is_hole is wanted] for wanted in (False, True))
    polygons: list[tuple[_Ring, list[_Ring]]] = [(ring, []) for ring in outer]
    for hole, home, is_inside in _homes(outer, inner):
        if not is_inside:
            bad.append(hole.bad(RingFault.OUTSIDE))
        if home is not None:
            polygons[home][1].append(hole)
    return _Sorted(polygons, tuple(bad))


def _homes(outer: Sequence[_Ring], inner: Sequence[_Ring]) -> Iterator[tuple[_Ring, int | None, bool]]:
    """Yield each hole with the position of its outer ring, and whether at least half of it lies in there.

    The outer rings of its own polygon go before those of others; only they take a hole that lies in none.
    """
    own: dict[int, list[int]] = {}
    holes: dict[int, list[_Ring]] = {}
    for position, ring in enumerate(outer):
        own.setdefault(ring.part, []).append(position)
    for ring in inner:
        holes.setdefault(ring.part, []).append(ring)
    left = []
    for part, rings in holes.items():
        for found in _given(outer, own.get(part, []), rings):
            if found[2] or len(own.get(part, [])) == len(outer):
                yield found
            else:
                left.append(found)
    others = _given(outer, range(len(outer)), [hole for hole, _, _ in left])
    for (hole, home, _), (_, other, lies_there) in zip(left, others, strict=True):
        yield hole, other if lies_there else home, lies_there


def _given(
    outer: Sequence[_Ring], chosen: Sequence[int], holes: Sequence[_Ring]
) -> Iterator[tuple[_Ring, int | None, bool]]:
    """Yield each hole with the position of its outer ring, which is one of the chosen, and whether it lies in there."""
    if not len(chosen) or not len(holes):
        yield from ((hole, None, False) for hole in holes)
        return
    owners = owners_of([outer[position].points for position in chosen], [hole.points for hole in holes])
    for hole, index, is_mostly in zip(holes, owners.home.tolist(), owners.is_mostly.tolist(), strict=True):
        yield hole, chosen[index], is_mostly


def _ground(found: _Sorted, layout: Callable[[Points, list[Points]], list[Polygon]]) -> Ground:
    """Return the union of polygons in a layout; with the rings that cross themselves among the bad ones."""
    shapes: list[Any] = []
    bad = list(found.bad)
    for ring, holes in found.polygons:
        laid = layout(ring.points, [hole.points for hole in holes])
        shape, is_sound = _united([_valid(*polygon) for polygon in laid])
        shapes.append(shape)
        if shape is None:
            bad.append(ring.bad(RingFault.FAR_OFF))
        elif not is_sound:
            bad += [item.bad(RingFault.CROSSING) for item in (ring, *holes) if not is_simple(item.points)]
    whole, _ = _united([(shape, True) for shape in shapes if shape is not None])
    return Ground(whole, tuple(bad))


def _united(shapes: Sequence[tuple[Any, bool]]) -> tuple[Any, bool]:
    """Return valid shapes as one, untouched where they lie apart, None for nothing; and whether all were sound."""
    filled = [shape for shape, _ in shapes if not shape.is_empty]
    sound = all(is_sound for _, is_sound in shapes)
    if len(filled) < 2:
        return (filled[0] if filled else None), sound
    parts = shapely.get_parts(filled)
    whole = shapely.multipolygons(parts)
    return (whole if shapely.is_valid(whole) else only_polygons(shapely.union_all(parts))), sound


def _valid(outer: Points, holes: Sequence[Points]) -> tuple[Any, bool]:
    """Return a valid shape of an outer ring less its holes, and whether the rings made one as they stood."""
    outer, *holes = (ring[np.isfinite(ring).all(axis=1)] for ring in (outer, *holes))
    if len(outer) < 3:
        return shapely.Polygon(), False
    holes = [hole for hole in holes if len(hole) > 2]
    plain = shapely.Polygon(outer, holes)
    if shapely.is_valid(plain):
        return plain, True
    whole = mended(outer)
    if not holes:
        return whole, False
    return only_polygons(shapely.difference(whole, shapely.union_all([mended(hole) for hole in holes]))), False


def _forward(plane: LocalPlane, outer: Points, holes: Sequence[Points]) -> Polygon:
    return plane.forward(outer), [plane.forward(hole) for hole in holes]
