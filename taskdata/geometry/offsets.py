"""Parallel lines in a local plane: at a true distance, without loops, extended straight, clipped to a polygon.

The parallel of a line at a distance is the set of places on one side whose nearest place of the line is exactly that
far away. Where the line bends away the parallel is an arc; where it bends inwards more tightly than the distance,
the parallel would come nearer to the line than it should, and such loops are cut away: a parallel can come too near
only where it crosses itself, the parallel on the other side, or the circle about an end of the line.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.chains import chains
from taskdata.geometry.paths import distinct, lengths

_CLOSE = 1e-6
"""Metres by which a parallel may come nearer than its distance: rounding, far above that of doubles."""

_BACK = 1e-6
"""Radians within which a corner that turns back is gone round on either side."""


def extended(line: ArrayLike, before: float, after: float) -> Points:
    """Return a line that goes on straight past its ends.

    Parameters
    ----------
    line : array_like
        (n, 2) metres, at least two different points.
    before, after : float
        Metres to add before the first and after the last point.

    Returns
    -------
    Points
        (n, 2), with the end points moved.

    Raises
    ------
    ValueError
        When the line has no length.
    """
    points = _line(line).copy()
    steps = np.diff(points, axis=0)
    units = steps / lengths(steps)[:, np.newaxis]
    points[0] -= before * units[0]
    points[-1] += after * units[-1]
    return points


def parallel(line: ArrayLike, distance: float, *, extend: float = 0.0, tolerance: float = 0.001) -> list[Points]:
    """Return the parallel of a line.

    Parameters
    ----------
    line : array_like
        (n, 2) metres, at least two different points. It may cross itself, but one that runs back exactly over itself
        has no sides there.
    distance : float
        Metres, right of the direction of the line positive; 0 gives the line itself.
    extend : float
        Metres by which the line is first extended straight past both of its ends.
    tolerance : float
        Metres by which the corners of an arc may lie outside of it; nothing lies inside.

    Returns
    -------
    list of Points
        The pieces in the order and direction of the line: one on ordinary lines, several where the line comes near to
        itself, none where it bends so tightly that nothing is that far away.

    Raises
    ------
    ValueError
        When the line has no length.
    """
    source = extended(line, extend, extend)
    if distance == 0.0:
        return [source]
    shape = shapely.linestrings(source)
    ends, radius = source[[0, -1]], abs(distance)
    raw = _with_corners_at(_raw(source, distance, tolerance), ends, radius)
    other = shapely.linestrings(_raw(source, -distance, tolerance))
    noded = shapely.get_parts(shapely.difference(shapely.union_all(np.array([shapely.linestrings(raw)])), other))
    pieces = _split(noded, ends, radius)
    middles = shapely.line_interpolate_point(pieces, 0.5, normalized=True)
    tree = shapely.STRtree(shapely.linestrings(np.stack([source[:-1], source[1:]], axis=1)))
    _, apart = tree.query_nearest(middles, all_matches=False, return_distance=True)
    far = apart >= radius - 1e-9
    return _in_order(chains(pieces[far], shape), shape)


def clipped(line: ArrayLike, area: Any) -> list[Points]:
    """Return the pieces of a line inside an area.

    Parameters
    ----------
    line : array_like
        (n, 2) metres.
    area : shapely geometry
        A polygon or multi-polygon, with holes or without.

    Returns
    -------
    list of Points
        The pieces in the order and direction of the line. Where it only touches the area there is none.

    Raises
    ------
    ValueError
        When the line has no length.
    """
    shape = shapely.linestrings(_line(line))
    return _in_order(shapely.intersection(shape, area), shape)


def _line(line: ArrayLike) -> Points:
    points = distinct(line)
    if len(points) < 2:
        raise ValueError("a line needs two different points")
    return points


def _raw(points: Points, distance: float, tolerance: float) -> Points:
    """Return the parallels of all steps joined: arcs outside, crossings inside, with the loops of tight bends."""
    steps = np.diff(points, axis=0)
    sizes = lengths(steps)
    units = steps / sizes[:, np.newaxis]
    normals = np.column_stack([units[:, 1], -units[:, 0]]) * distance
    before, after = units[:-1], units[1:]
    turns = np.arctan2(
        before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], before[:, 0] * after[:, 0] + before[:, 1] * after[:, 1]
    )
    turns = np.where(np.abs(turns) > math.pi - _BACK, math.copysign(math.pi, distance), turns)
    short = _too_short(sizes, turns, distance)
    most = 2.0 * math.acos(1.0 / (1.0 + tolerance / abs(distance)))
    parts = [points[:1] + normals[:1]]
    for index in range(len(turns)):
        corner, turn = points[index + 1], float(turns[index])
        if turn * distance > 0.0:
            parts.append(corner + _arc(normals[index], turn, math.ceil(abs(turn) / most)))
        elif short[index]:
            parts.append(corner + normals[index : index + 2])
        else:
            parts.append(corner + _arc(normals[index], turn, 1))
    return np.vstack([*parts, points[-1:] + normals[-1:]])


def _with_corners_at(raw: Points, ends: Points, radius: float) -> Points:
    """Return a line with corners where it crosses the circles about the ends of its source."""
    steps = np.diff(raw, axis=0)
    square = (steps**2).sum(axis=1)
    found = []
    for end in ends:
        half = (steps * (raw[:-1] - end)).sum(axis=1)
        inner = half**2 - square * (((raw[:-1] - end) ** 2).sum(axis=1) - radius**2)
        for sign in (-1.0, 1.0):
            share = np.full(len(steps), -1.0)
            np.divide(
                sign * np.sqrt(np.maximum(inner, 0.0)) - half, square, out=share, where=(inner > 0.0) & (square > 0.0)
            )
            index = np.flatnonzero((share > 0.0) & (share < 1.0))
            found.append(np.column_stack([index, share[index], raw[index] + steps[index] * share[index, np.newaxis]]))
    cuts = np.concatenate(found)
    cuts = cuts[np.lexsort((cuts[:, 1], cuts[:, 0]))]
    return np.insert(raw, cuts[:, 0].astype(np.intp) + 1, cuts[:, 2:], axis=0)


def _split(parts: NDArray[Any], ends: Points, radius: float) -> NDArray[Any]:
    """Return line strings split at those of their corners that lie on the circles about the ends of their source."""
    corners, owner = shapely.get_coordinates(parts, return_index=True)
    away = np.abs(np.hypot(*(corners[:, np.newaxis] - ends).transpose(2, 0, 1)) - radius)
    cut = np.flatnonzero((away < _CLOSE).any(axis=1)[1:-1] & (owner[2:] == owner[:-2])) + 1
    if len(cut) == 0:
        return parts
    begins = np.zeros(len(corners) + len(cut), dtype=np.intp)
    begins[cut + np.arange(1, len(cut) + 1)] = 1
    piece = np.insert(owner, cut, owner[cut]) + np.cumsum(begins)
    return np.asarray(shapely.linestrings(np.insert(corners, cut, corners[cut], axis=0), indices=piece), dtype=object)


def _too_short(sizes: Floats, turns: Floats, distance: float) -> NDArray[np.bool_]:
    """Return for each corner whether a step beside it is too short for its parallel to reach the crossing inside."""
    with np.errstate(over="ignore"):
        cut = np.where(turns * distance < 0.0, abs(distance) * np.tan(np.abs(turns) / 2.0), 0.0)
    needed = np.concatenate([cut, [0.0]]) + np.concatenate([[0.0], cut])
    return np.asarray((needed[:-1] > sizes[:-1]) | (needed[1:] > sizes[1:]))


def _arc(start: Floats, turn: float, parts: int) -> Points:
    """Return the corners, from its middle, of lines that touch an arc: one gives the crossing of its end tangents."""
    angles = (np.arange(parts) + 0.5) * turn / parts
    sine, cosine, scale = np.sin(angles), np.cos(angles), 1.0 / math.cos(turn / (2.0 * parts))
    return scale * np.column_stack([start[0] * cosine - start[1] * sine, start[0] * sine + start[1] * cosine])


def _in_order(found: Any, shape: Any) -> list[Points]:
    """Return the lines in a geometry in the order and direction of another line."""
    parts = shapely.get_parts(shapely.get_parts(found))
    parts = parts[(shapely.get_type_id(parts) == shapely.GeometryType.LINESTRING) & (shapely.length(parts) > _CLOSE)]
    at = [
        shapely.line_locate_point(shape, shapely.line_interpolate_point(parts, share, normalized=True))
        for share in (0.45, 0.5, 0.55)
    ]
    lines = [np.asarray(shapely.get_coordinates(part), dtype=np.float64) for part in parts]
    return [lines[index][:: 1 if at[2][index] >= at[0][index] else -1] for index in np.argsort(at[1])]
