"""Fewer points for lines and rings, and how far each moves by that.

The method of Douglas and Peucker (1973), with the distance to the piece between two kept points, in a local plane. A
point that is left out lies within the tolerance of the piece that runs past it, so the course as a whole moves by no
more. The method splits a line at the point that lies farthest off, and then each half; the tolerance up to which a
point stays is its own distance or, where that is less, the one of a split before it. Those of all points give the least
tolerance that leaves few enough. Lines are split side by side.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.loops import ring_shapes

Indexes = NDArray[np.intp]

_SHARE, _LEAST_M = 1e-6, 1e-9
"""Points weigh the same whose tolerances differ by no more than this share and these metres."""


class _Courses(NamedTuple):
    """One coordinate of the points between the ends of pieces of lines, and of both ends of each."""

    points: Floats
    first: Floats
    last: Floats


def kept_of(lines: Sequence[Points], most: Sequence[int]) -> list[tuple[Indexes, float]]:
    """Return which points of each line to keep so that it moves least.

    Parameters
    ----------
    lines : sequence of array (n, 2)
        Metres in a plane each. A ring repeats its first point at the end.
    most : sequence of int
        How many points of each may stay, at least two; four for a ring. Fewer do where several weigh the same.

    Returns
    -------
    list of tuple
        Of each line the positions of what is kept in ascending order, the first and the last among them; and the
        tolerance that was needed, metres: no part of the line moves by more.
    """
    if not lines:
        return []
    starts = np.cumsum([0, *map(len, lines)])
    tolerances = _tolerances(np.concatenate(lines), starts)
    rows = [slice(*ends) for ends in pairwise(starts.tolist())]
    return [_chosen(tolerances[own], count) for own, count in zip(rows, most, strict=True)]


def _chosen(tolerances: Floats, most: int) -> tuple[Indexes, float]:
    if len(tolerances) <= most:
        return np.arange(len(tolerances)), 0.0
    limit = float(np.partition(tolerances, -most - 1)[-most - 1])
    stays = tolerances > limit * (1.0 + _SHARE) + _LEAST_M
    stays[[0, -1]] = True
    return np.flatnonzero(stays), float(tolerances[~stays].max())


def _tolerances(points: Points, starts: Indexes) -> Floats:
    """Return up to which tolerance each point stays, infinite for both ends of each line."""
    east, north = np.ascontiguousarray(points.T)
    found = np.full(len(points), np.inf)
    first, last = starts[:-1], starts[1:] - 1
    above = np.full(len(first), np.inf)
    while (inner := last - first > 1).any():
        first, last, above = first[inner], last[inner], above[inner]
        sizes = last - first - 1
        begins = np.cumsum(sizes) - sizes
        between = np.arange(sizes.sum()) + np.repeat(first + 1 - begins, sizes)
        x, y = (_Courses(axis[between], axis[first], axis[last]) for axis in (east, north))
        away = _distances(x, y, sizes)
        farthest = np.maximum.reduceat(away, begins)
        at = np.flatnonzero(away == np.repeat(farthest, sizes))
        split = between[at[np.searchsorted(at, begins)]]
        above = found[split] = np.minimum(farthest, above)
        first, last, above = np.r_[first, split], np.r_[split, last], np.r_[above, above]
    return found


def _distances(x: _Courses, y: _Courses, sizes: Indexes) -> Floats:
    """Return how far each point lies off its piece of a line along both axes, (n,) each.

    ``x`` and ``y`` are the coordinates of points and ends; ``sizes`` (pieces,) tells how many points each piece has.
    """
    x_step, y_step = x.last - x.first, y.last - y.first
    length = x_step * x_step + y_step * y_step
    length[~(length > 0.0)] = 1.0  # both steps are 0 there, and so is the share
    x_way, y_way = x.points, y.points
    x_way -= np.repeat(x.first, sizes)
    y_way -= np.repeat(y.first, sizes)
    x_step, y_step = np.repeat(x_step, sizes), np.repeat(y_step, sizes)
    share = x_way * x_step
    share += y_way * y_step
    share /= np.repeat(length, sizes)
    np.clip(share, 0.0, 1.0, out=share)
    x_step *= share
    y_step *= share
    x_way -= x_step
    y_way -= y_step
    away = np.hypot(x_way, y_way, out=share)
    away[np.isnan(away)] = np.inf
    return away


def relations(rings: Sequence[Points], number: int) -> list[tuple[bool, bool, bool]]:
    """Return how one ring lies to each of several: whether they touch or cross, it lies around, and it lies within.

    Parameters
    ----------
    rings : sequence of array (n, 2)
        Metres in a plane, closed or not.
    number : int
        Which one.
    """
    shapes = [ring_shapes([ring])[0] if len(ring) > 2 else shapely.Polygon() for ring in rings]
    own = shapes[number]
    return [
        (bool(own.exterior.intersects(other.exterior)), _within(other, own), _within(own, other))
        for at, other in enumerate(shapes)
        if at != number
    ]


def _within(inner: shapely.Polygon, outer: shapely.Polygon) -> bool:
    """Tell whether the first corner of a ring lies within another."""
    return not inner.is_empty and not outer.is_empty and bool(shapely.contains_xy(outer, *inner.exterior.coords[0]))
