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


@dataclass(frozen=True)
class Cover:
    """Ground by how often it is covered.

    Parameters
    ----------
    shapes : ndarray
        (m,) the polygons that cover.
    faces : ndarray
        (f,) polygons that do not overlap, all ground that is covered.
    counts : ndarray
        (f,) by how many of the shapes each face is covered, 1 or more.
    """

    shapes: Shapes
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
        """Return the ground covered at least so many times, a polygon or multi-polygon, empty where there is none."""
        return _merged(self.faces[self.counts >= at_least])


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
        return Cover(shapes, shapes, np.empty(0, dtype=np.intp))
    mixed = np.random.default_rng(0).permutation(len(shapes))  # in the order of a drive, snapping grows with n ** 1.5
    lines = shapely.union_all(shapely.boundary(shapes[mixed]), grid_size=grid)
    faces = _polygonized(np.array([lines], dtype=object))
    points = shapely.STRtree(_inner_points(faces))
    _, found = points.query(shapes, predicate="contains")
    counts = np.bincount(found, minlength=len(faces))
    return Cover(shapes, faces[counts > 0], counts[counts > 0].astype(np.intp))


def _merged(faces: Shapes) -> Any:
    """Return noded faces as one geometry.

    Faces as small as the last digit of their corners can defeat any one way, and a union in doubles may then lose
    ground without a word; the area tells, and the first way that keeps it is taken, or the one that keeps most of it.
    """
    if len(faces) == 0:
        return shapely.MultiPolygon()
    total, best = float(shapely.area(faces).sum()), (math.inf, shapely.MultiPolygon())
    for way in (_outlined, shapely.union_all, partial(shapely.union_all, grid_size=GRID)):
        found = way(faces)
        lost = abs(float(shapely.area(found)) - total) if shapely.is_valid(found) else math.inf
        if lost <= TOLERANCE * total:
            return found
        best = min(best, (lost, found), key=lambda pair: pair[0])
    return best[1]


def _outlined(faces: Shapes) -> Any:
    """Return noded faces as one geometry: edges that two of them have in common go, and the others are the outline.

    A face that has no edge in common with another stays as it is.
    """
    rings, face = shapely.get_rings(faces, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    first = np.flatnonzero(ring[1:] == ring[:-1])
    twin = _twins(points[first], points[first + 1])
    owner = face[ring[first]]
    shared = np.zeros(len(faces), dtype=np.bool_)
    shared[owner[twin]] = True
    parts = _lines_joined(points, first[~twin & shared[owner]])
    filled, _ = shapely.STRtree(_inner_points(faces[shared])).query(parts, predicate="contains")
    parts = np.concatenate([faces[~shared], parts[np.unique(filled)]])
    return parts[0] if len(parts) == 1 else shapely.multipolygons(parts)


def _lines_joined(points: Points, edges: NDArray[np.intp]) -> Shapes:
    """Return the polygons within edges from a point to the next, which are given by the index of the first."""
    if len(edges) == 0:
        return np.empty(0, dtype=object)
    crossing = _repeated(points[edges])[1:]
    goes_on = np.concatenate([(edges[1:] == edges[:-1] + 1) & ~crossing, [False]])
    run = np.concatenate([[0], np.cumsum(~goes_on)[:-1]])
    corners = np.concatenate([edges, edges[~goes_on] + 1])
    owner = np.concatenate([run, run[~goes_on]])
    order = np.lexsort((corners, owner))
    return _polygonized(shapely.linestrings(points[corners[order]], indices=owner[order]))


def _polygonized(lines: Shapes) -> Shapes:
    with _rounding():
        return np.asarray(shapely.get_parts(shapely.polygonize(lines)), dtype=object)


def _inner_points(faces: Shapes) -> Shapes:
    with _rounding():
        return np.asarray(shapely.point_on_surface(faces), dtype=object)


def _rounding() -> np.errstate:
    """Return a context in which faces as small as the last digit of their corners may overflow; residuals tell."""
    return np.errstate(invalid="ignore", over="ignore", divide="ignore")


def _twins(begin: Points, end: Points) -> NDArray[np.bool_]:
    """Return which of (n,) edges occur twice, once in each direction."""
    back = (begin[:, 0] > end[:, 0]) | ((begin[:, 0] == end[:, 0]) & (begin[:, 1] > end[:, 1]))
    edges = np.hstack([np.where(back[:, np.newaxis], end, begin), np.where(back[:, np.newaxis], begin, end)])
    return _repeated(edges)


def _repeated(rows: Floats) -> NDArray[np.bool_]:
    """Return which of (n, k) rows are equal to another.

    They are sorted by a number mixed of their digits. Rows that differ get the same number once in 2**64 times, and
    one between two that are equal may then hide them; the area of what is made of them tells.
    """
    digits = np.ascontiguousarray(rows + 0.0).view(np.uint64)  # -0.0 becomes 0.0, which it is equal to
    mixed = np.zeros(len(rows), dtype=np.uint64)
    for column in digits.T:
        mixed = (mixed ^ column) * np.uint64(0x9E3779B97F4A7C15)
        mixed ^= mixed >> np.uint64(29)
    order = np.argsort(mixed)
    alike = np.flatnonzero(mixed[order[1:]] == mixed[order[:-1]])
    same = alike[(rows[order[alike]] == rows[order[alike + 1]]).all(axis=1)]
    found = np.zeros(len(rows), dtype=np.bool_)
    found[order[same]] = found[order[same + 1]] = True
    return found
