"""Which hole belongs to which outline.

Longitude and latitude are degrees. Rings are laid out with continuous longitudes; where one of them goes round a pole,
all are laid out in a plane in metres about their middle.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from taskdata.geometry.arrays import Points, as_points
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.rings import open_ring, unwrap, winding

_TURNS = (0.0, 360.0, -360.0)
LARGER = 1.0 + 1e-12
"""An outline is larger than a hole by more than rounding."""

_POLAR = 60.0
"""Degrees of latitude from which a ring may go round a pole."""


class Grouping(NamedTuple):
    """Outlines with their holes.

    ``groups`` holds a pair (exterior, holes) for each exterior, in its order; ``outside`` the indices of those interior
    rings which lie in no exterior, or not wholly.
    """

    groups: list[tuple[Points, list[Points]]]
    outside: list[int]


class Owners(NamedTuple):
    """The exterior of each hole.

    ``home`` (n,) is its position; ``is_within`` (n,) tells whether the hole lies wholly in it, ``is_mostly`` whether
    at least half of it does.
    """

    home: NDArray[np.intp]
    is_within: NDArray[np.bool_]
    is_mostly: NDArray[np.bool_]


def group(exteriors: Sequence[ArrayLike], interiors: Sequence[ArrayLike]) -> Grouping:
    """Give each interior ring to the smallest exterior that contains it.

    An exterior of the same size as the hole does not contain it: an island that fills a hole is not what the hole was
    cut from.

    Parameters
    ----------
    exteriors, interiors : sequence of array_like
        Rings of (n, 2) degrees, open or closed, in any direction. Of degenerate rings the points count.

    Returns
    -------
    Grouping
        The rings themselves, unchanged, and the indices of the interior rings that do not lie in one exterior: each
        went to the larger exterior with most ground in common, else to the nearest in metres, or to the first where
        that cannot be told. Without exteriors all are named and none is given.
    """
    outer, inner = [as_points(ring) for ring in exteriors], [as_points(ring) for ring in interiors]
    if not outer or not inner:
        return Grouping([(ring, []) for ring in outer], list(range(len(inner))))
    owners = owners_of(outer, inner)
    groups: list[tuple[Points, list[Points]]] = [(ring, []) for ring in outer]
    for index, ring in zip(owners.home, inner, strict=True):
        groups[index][1].append(ring)
    return Grouping(groups, np.flatnonzero(~owners.is_within).tolist())


def owners_of(outer: Sequence[Points], inner: Sequence[Points]) -> Owners:
    """Return the exterior to which each hole belongs, as `group` gives them; at least one exterior is needed."""
    polar = any(_may_be_polar(ring) and winding(ring) for ring in (*outer, *inner))
    plane = LocalPlane.centred_on(np.vstack([*outer, *inner])) if polar else None
    turns = (0.0,) if polar else _TURNS
    shapes, holes = _shapes(outer, plane), _shapes(inner, plane)
    owner = _smallest_cover(shapes, holes, turns)
    within = owner >= 0
    mostly = within.copy()
    outside = np.flatnonzero(~within)
    if len(outside):
        owner[outside], common = _most_common(shapes, holes[outside], turns)
        mostly[outside] = (common > 0.0) & (common * 2.0 >= shapely.area(holes[outside]))
    for index in np.flatnonzero(owner < 0).tolist():
        owner[index] = _nearest(outer, inner[index])
    return Owners(owner, within, mostly)


def _may_be_polar(ring: Points) -> bool:
    return len(ring) > 2 and bool((np.abs(ring[:, 1]) > _POLAR).any())


def _smallest_cover(shapes: NDArray[Any], holes: NDArray[Any], turns: Sequence[float]) -> NDArray[np.intp]:
    """Return for each hole the index of the smallest larger shape that covers it, -1 for none."""
    areas, hole_areas = shapely.area(shapes), shapely.area(holes)
    if len(shapes) == 1 and bool((shapely.covers(shapes[0], holes) & (areas[0] > hole_areas * LARGER)).all()):
        return np.zeros(len(holes), dtype=np.intp)
    tree = shapely.STRtree(shapes)
    owner = np.full(len(holes), -1, dtype=np.intp)
    best = np.full(len(holes), np.inf)
    for turn in turns:
        found, cover = tree.query(_moved(holes, turn), predicate="covered_by")
        larger = areas[cover] > hole_areas[found] * LARGER
        for hole, shape in zip(found[larger], cover[larger], strict=True):
            if areas[shape] < best[hole]:
                owner[hole], best[hole] = shape, areas[shape]
    return owner


def _most_common(
    shapes: NDArray[Any], holes: NDArray[Any], turns: Sequence[float]
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Return for each hole the larger shape that it has most area in common with, -1 for none, and that area."""
    shapes, holes = shapely.make_valid(shapes), shapely.make_valid(holes)
    areas, hole_areas = shapely.area(shapes), shapely.area(holes)
    owner, best = np.full(len(holes), -1, dtype=np.intp), np.zeros(len(holes))
    tree = shapely.STRtree(shapes)
    for turn in turns:
        moved = _moved(holes, turn)
        found, cover = tree.query(moved, predicate="intersects")
        larger = areas[cover] > hole_areas[found] * LARGER
        found, cover = found[larger], cover[larger]
        common = shapely.area(shapely.intersection(moved[found], shapes[cover]))
        for hole, shape, area in zip(found, cover, common, strict=True):
            if area > best[hole]:
                owner[hole], best[hole] = shape, area
    return owner, best


def _nearest(outer: Sequence[Points], hole: Points) -> int:
    """Return the index of the exterior nearest to a hole in metres, 0 where it cannot be told."""
    try:
        plane = LocalPlane.centred_on(hole)
    except ValueError:
        return 0
    distances = shapely.distance(_shapes(outer, plane), _shapes([hole], plane)[0])
    return 0 if np.isnan(distances).all() else int(np.nanargmin(distances))


def _moved(shapes: NDArray[Any], turn: float) -> NDArray[Any]:
    """Return the shapes a turn further east."""
    offset = np.array([turn, 0.0])
    return shapes if turn == 0.0 else np.asarray(shapely.transform(shapes, lambda xy: xy + offset))


def _shapes(rings: Sequence[Points], plane: LocalPlane | None) -> NDArray[Any]:
    """Return the rings as polygons in degrees or in metres of a plane, of less than three places as points."""
    shapes = np.empty(len(rings), dtype=object)
    for index, ring in enumerate(rings):
        points = open_ring(ring)
        points = unwrap(points) if plane is None else plane.forward(points)
        points = points[np.isfinite(points).all(axis=1)]
        enough = len(points) >= 3
        shapes[index] = shapely.Polygon(points) if enough else shapely.MultiPoint(points)
    return shapes
