"""Fewer points for a line or ring, and how far it moves by that.

The method of Douglas and Peucker (1973), with the distance to the piece between two kept points, in a local plane. A
point that is left out lies within the tolerance of the piece that runs past it, so the course as a whole moves by no
more.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.loops import ring_shapes


def kept_of(points: Points, most: int) -> tuple[NDArray[np.intp], float]:
    """Return which points of a line to keep so that it moves least.

    Parameters
    ----------
    points : array (n, 2)
        Metres in a plane. A ring repeats its first point at the end.
    most : int
        How many points may stay, at least two; four for a ring. Fewer do where several weigh the same.

    Returns
    -------
    kept : array of int
        Positions in ascending order, the first and the last among them.
    moved : float
        The tolerance that was needed, metres: no part of the line moves by more.
    """
    weights = significances(points)
    if len(points) <= most:
        return np.arange(len(points)), 0.0
    moved = float(np.sort(weights)[::-1][most])
    return np.flatnonzero(weights > moved), moved


def significances(points: Points) -> Floats:
    """Return for each of (n, 2) points the tolerance at which it is left out, metres; infinite for both ends.

    A point never outlives the one that its piece was parted at, so that for every tolerance those above it are what
    the method keeps. Points of one significance go or stay together: one may lie farther off once another is kept.
    """
    found = np.zeros(len(points))
    found[[0, -1]] = np.inf
    stack = [(0, len(points) - 1, np.inf)]
    if len(points) > 3 and (points[0] == points[-1]).all():
        far = int(np.argmax(np.hypot(*(points - points[0]).T)))
        found[far] = np.inf
        stack = [(0, far, np.inf), (far, len(points) - 1, np.inf)]
    while stack:
        first, last, above = stack.pop()
        if last - first < 2:
            continue
        away = _distances(points[first + 1 : last], points[first], points[last])
        at = int(np.argmax(away))
        weight = min(above, float(away[at]))
        middle = first + 1 + at
        found[middle] = weight
        stack += [(first, middle, weight), (middle, last, weight)]
    return found


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


def _distances(points: Points, start: Points, end: Points) -> Floats:
    """Return how far points lie from the piece between two others."""
    along = end - start
    size = float(along @ along)
    share = np.clip((points - start) @ along / size, 0.0, 1.0) if size else np.zeros(len(points))
    return np.asarray(np.hypot(*(points - start - share[:, np.newaxis] * along).T))
