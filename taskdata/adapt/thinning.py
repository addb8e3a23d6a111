"""Fewer points for a line or ring, and how far it moves by that.

The method of Douglas and Peucker (1973) as GEOS has it, with the distance to the piece between two kept points, in a
local plane. A point that is left out lies within the tolerance of the piece that runs past it, so the course as a whole
moves by no more. The least tolerance that leaves few enough points is found by halving.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.geometry.arrays import Points
from taskdata.geometry.loops import ring_shapes

_SHARE, _LEAST_M = 1e-6, 1e-9
"""How near to the least tolerance the halving ends: a share of it, and metres."""


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
    if len(points) <= most:
        return np.arange(len(points)), 0.0
    line = shapely.linestrings(np.column_stack([points, np.arange(len(points))]))
    low, high = 0.0, float(np.hypot(*np.ptp(points, axis=0)))
    best = shapely.simplify(line, high, preserve_topology=False)
    while high - low > _SHARE * high + _LEAST_M:
        middle = (low + high) / 2.0
        found = shapely.simplify(line, middle, preserve_topology=False)
        if shapely.get_num_coordinates(found) > most:
            low = middle
        else:
            high, best = middle, found
    return shapely.get_coordinates(best, include_z=True)[:, 2].astype(np.intp), high


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
