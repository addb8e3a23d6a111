"""Many rings at once that are nothing out of the way: on one side of the antimeridian, round ground, without doubt."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.geometry.arrays import Floats, Points

_CLEAR = 1e-10
"""Share of the parts that a signed area is summed of, from which its sign is beyond doubt."""


def are_plain(rings: Sequence[Points]) -> NDArray[np.bool_]:
    """Return which rings have three places, one end, a direction, and no place at or beyond the antimeridian."""
    if not rings:
        return np.empty(0, dtype=np.bool_)
    points, starts, owner = _laid(rings)
    with np.errstate(invalid="ignore"):
        first = points[starts][owner]
        other = (points != first).any(axis=1)
        second = np.minimum.reduceat(np.where(other, np.arange(len(points)), len(points) - 1), starts)
        third = np.logical_or.reduceat(other & (points != points[second][owner]).any(axis=1), starts)
        west, east = (way.reduceat(points[:, 0], starts) for way in (np.minimum, np.maximum))
        inside = np.isfinite(np.add.reduceat(points, starts)).all(axis=1) & (west > -180.0) & (east < 180.0)
        parts = _parts(points, starts, first)
        ends = np.append(starts[1:], len(points)) - 1
        once = other[ends] | other[ends - 1]
        area, size = np.add.reduceat(parts, starts), np.add.reduceat(np.abs(parts), starts)
        return np.asarray(third & once & inside & (east - west <= 180.0) & (np.abs(area) > _CLEAR * size))


def polygons(rings: Sequence[Points]) -> NDArray[Any]:
    """Return (n,) polygons of plain rings, closed and counter-clockwise, from the same first points."""
    points, starts, owner = _laid(rings)
    counts = np.diff(np.append(starts, len(points)))
    ends = starts + counts - 1
    closed = (points[starts] == points[ends]).all(axis=1)
    lengths = counts + ~closed
    clockwise = np.add.reduceat(_parts(points, starts, points[starts][owner]), starts) < 0.0
    ring = np.repeat(np.arange(len(rings)), lengths)
    step = np.arange(len(ring)) - np.repeat(np.cumsum(lengths) - lengths, lengths)
    step = np.where(clockwise[ring], lengths[ring] - 1 - step, step)
    corners = points[starts[ring] + np.where(step == counts[ring], 0, step)]
    return np.asarray(shapely.polygons(shapely.linearrings(corners, indices=ring)), dtype=object)


def _laid(rings: Sequence[Points]) -> tuple[Points, NDArray[np.intp], NDArray[np.intp]]:
    """Return the points of rings, where each ring begins, and the ring of each point."""
    counts = [len(ring) for ring in rings]
    starts = np.cumsum([0, *counts[:-1]], dtype=np.intp)
    return np.concatenate([ring[:, :2] for ring in rings]), starts, np.repeat(np.arange(len(rings)), counts)


def _parts(points: Points, starts: NDArray[np.intp], first: Points) -> Floats:
    """Return (n,) twice the signed area between each edge and the first point of its ring."""
    x, y = (points - first).T
    found = np.zeros(len(points))
    found[:-1] = x[:-1] * y[1:] - x[1:] * y[:-1]
    found[starts[1:] - 1] = 0.0
    return found
