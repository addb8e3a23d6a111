"""How often ground is covered by polygons that overlap, exactly: nodes, faces, and a count for each face.

All outlines are noded together in one pass; the faces between them lie wholly inside or outside each polygon, and are
counted at one inner point. Coordinates are doubles in metres: crossings are rounded at about 1e-12 of the extent of the
field, and faces can be slivers of that width. `Cover.residual` measures what it did to the areas: the sum of area times
count over the faces must be the sum of the areas of the polygons.
"""

from __future__ import annotations

import math
from functools import cached_property, partial
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.ribbons import Shapes

TOLERANCE = 1e-9
"""Largest residual that is accepted from noding in doubles, as a share of the area applied."""

GRID = 1e-9
"""Metres of the grid on which outlines are noded when noding in doubles failed; it moves edges by half as much."""

_BUCKETS = np.uint64(1 << 20)


@dataclass(frozen=True)
class Cover:
    """Ground by how often it is covered.

    Parameters
    ----------
    shapes : ndarray
        (m,) the polygons that cover.
    lines : ndarray
        (n,) lines between the faces, and round them: their outlines, noded together.
    faces : ndarray
        (f,) polygons that do not overlap, all ground that is covered.
    counts : ndarray
        (f,) by how many of the shapes each face is covered, 1 or more.
    """

    shapes: Shapes
    lines: Shapes
    faces: Shapes
    counts: NDArray[np.intp]

    @cached_property
    def face_areas(self) -> Floats:
        """(f,) m²."""
        return np.asarray(shapely.area(self.faces), dtype=np.float64)

    @cached_property
    def by_multiplicity(self) -> Floats:
        """Area in m² covered exactly 0, 1, 2, ... times; the first is always 0."""
        return np.asarray(np.bincount(self.counts, weights=self.face_areas, minlength=2), dtype=np.float64)

    @cached_property
    def applied(self) -> float:
        """Sum of the areas of the shapes, m²."""
        return float(shapely.area(self.shapes).sum())

    @property
    def worked(self) -> float:
        """Area covered at least once, m²."""
        return self.area(1)

    @property
    def double(self) -> float:
        """Area covered at least twice, m²."""
        return self.area(2)

    @property
    def residual(self) -> float:
        """Area in m² by which the faces, each as often as it is covered, differ from the shapes: the error made."""
        return abs(float((self.face_areas * self.counts).sum()) - self.applied)

    def area(self, at_least: int) -> float:
        """Return the area in m² covered at least so many times."""
        return float(self.by_multiplicity[at_least:].sum())

    def geometry(self, at_least: int) -> Any:
        """Return the ground covered at least so many times, a polygon or multi-polygon, empty where there is none.

        Faces as small as the last digit of their corners can defeat any one way, and a union in doubles may then lose
        ground without a word; the area tells, and the first way that keeps it is taken, or the one that keeps most.
        """
        faces = self.faces[self.counts >= at_least]
        if len(faces) == 0:
            return shapely.MultiPolygon()
        total, best = self.area(at_least), (math.inf, shapely.MultiPolygon())
        ways = (
            partial(_outlined, self, at_least),
            partial(shapely.union_all, faces),
            partial(shapely.union_all, faces, grid_size=GRID),
        )
        for way in ways:
            found = way()
            lost = abs(float(shapely.area(found)) - total) if shapely.is_valid(found) else math.inf
            if lost <= TOLERANCE * total:
                return found
            best = min(best, (lost, found), key=lambda pair: pair[0])
        return best[1]

    @cached_property
    def sides(self) -> NDArray[np.intp]:
        """(n, 2) how often the ground on both sides of each line is covered, in any order."""
        return np.asarray(np.append(self.counts, 0)[_faces_beside(self.lines, self.faces)])


def cover(shapes: Shapes) -> Cover:
    """Count how often ground is covered.

    Parameters
    ----------
    shapes : ndarray
        (m,) valid polygons or multi-polygons, metres. Those of several runs over a field may be put together.

    Returns
    -------
    Cover
        Noded in doubles; on a grid of `GRID` where that leaves a larger residual than `TOLERANCE`, and the grid a
        smaller one.
    """
    given = np.asarray(shapes, dtype=object).reshape(-1)
    given = given[~(shapely.is_empty(given) | shapely.is_missing(given))]
    exact = _counted(given, None)
    if exact.residual <= TOLERANCE * exact.applied:
        return exact
    return min(exact, _counted(given, GRID), key=lambda found: found.residual)


def _counted(shapes: Shapes, grid: float | None) -> Cover:
    if len(shapes) == 0:
        return Cover(shapes, shapes, shapes, np.empty(0, dtype=np.intp))
    mixed = np.random.default_rng(0).permutation(len(shapes))  # in the order of a drive, snapping grows with n ** 1.5
    noded = shapely.union_all(shapely.boundary(shapes[mixed]), grid_size=grid)
    faces = _polygonized(np.array([noded], dtype=object))
    points = shapely.STRtree(_inner_points(faces))
    _, found = points.query(shapes, predicate="contains")
    counts = np.bincount(found, minlength=len(faces))
    return Cover(shapes, shapely.get_parts(noded), faces[counts > 0], counts[counts > 0].astype(np.intp))


def _outlined(cover: Cover, at_least: int) -> Any:
    """Return the ground covered so many times: lines with such a face on one side alone are its outline."""
    parts = _polygonized(cover.lines[(cover.sides >= at_least).sum(axis=1) == 1])
    if len(parts) == 0:
        return shapely.MultiPolygon()
    inner = _inner_points(cover.faces[cover.counts >= at_least])
    filled, _ = shapely.STRtree(inner).query(parts, predicate="contains")
    parts = parts[np.unique(filled)]
    return parts[0] if len(parts) == 1 else shapely.multipolygons(parts)


def _polygonized(lines: Shapes) -> Shapes:
    with _rounding():
        return np.asarray(shapely.get_parts(shapely.polygonize(lines)), dtype=object)


def _inner_points(faces: Shapes) -> Shapes:
    with _rounding():
        return np.asarray(shapely.point_on_surface(faces), dtype=object)


def _rounding() -> np.errstate:
    """Return a context in which faces as small as the last digit of their corners may overflow; residuals tell."""
    return np.errstate(invalid="ignore", over="ignore", divide="ignore")


def _faces_beside(lines: Shapes, faces: Shapes) -> NDArray[np.intp]:
    """Return (n, 2) the faces on both sides of each noded line, in any order, -1 where there is none.

    A line is known by its first step, which the rings of its faces hold, in either direction. Steps are compared by one
    mixed number each; two that differ have the same once in 2**64 times, and the area of what is made of it tells.
    """
    points, line = shapely.get_coordinates(lines, return_index=True)
    begins = np.flatnonzero(np.diff(line, prepend=-1))
    marks = _mixed(points[begins]) ^ _mixed(points[begins + 1])
    rings, face = shapely.get_rings(faces, return_index=True)
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    mixed = _mixed(corners)
    steps = mixed[1:] ^ mixed[:-1]
    likely = np.zeros(_BUCKETS, dtype=np.bool_)
    likely[marks % _BUCKETS] = True
    step = np.flatnonzero(likely[steps % _BUCKETS] & (ring[1:] == ring[:-1]))
    order = np.argsort(marks)
    place = np.minimum(np.searchsorted(marks, steps[step], sorter=order), len(order) - 1)
    met = marks[order[place]] == steps[step]
    owner, found = order[place[met]], face[ring[step[met]]]
    by_line = np.argsort(owner, kind="stable")
    owner, found = owner[by_line], found[by_line]
    second = np.concatenate([[False], owner[1:] == owner[:-1]])
    beside = np.full((len(lines), 2), -1, dtype=np.intp)
    beside[owner[~second], 0] = found[~second]
    beside[owner[second], 1] = found[second]
    return beside


def _mixed(points: Points) -> NDArray[np.uint64]:
    """Return one number mixed of the digits of each point."""
    digits = np.ascontiguousarray(points + 0.0).view(np.uint64)  # -0.0 becomes 0.0, which it is equal to
    mixed = np.zeros(len(points), dtype=np.uint64)
    for column in digits.T:
        mixed = (mixed + column) ^ (column >> np.uint64(31))  # round numbers have their digits at the upper end alone
        mixed *= np.uint64(0x9E3779B97F4A7C15)
        mixed ^= mixed >> np.uint64(29)
        mixed *= np.uint64(0xBF58476D1CE4E5B9)
        mixed ^= mixed >> np.uint64(32)
    return mixed
