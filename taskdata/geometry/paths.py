"""Lines in a local plane: length along them, bodies carried along them, distance across.

Metres, x east and y north. Headings are degrees clockwise from the north of the plane. A body has its own axes:
forward, and right of it.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from taskdata.geometry.arrays import Floats, Points, as_points, dots
from taskdata.geometry.nearest_segments import nearest_segments


class CrossTrack(NamedTuple):
    """Where points lie beside a line: metres ``across`` it, right positive, and metres ``along`` it, both (n,)."""

    across: Floats
    along: Floats


def across_product(one: Points, two: Points) -> Floats:
    """Return the vector product of (..., 2) vectors: positive where the second points to the left of the first."""
    return np.asarray(one[..., 0] * two[..., 1] - one[..., 1] * two[..., 0])


def distances(points: ArrayLike) -> Floats:
    """Return the distance travelled at each of (n, 2) points, (n,) metres from 0 at the first."""
    array = as_points(points)
    if len(array) == 0:
        return np.empty(0)
    return np.concatenate([[0.0], np.cumsum(lengths(np.diff(array, axis=0)))])


def length(points: ArrayLike) -> float:
    """Return the length of a line of (n, 2) points in metres, 0.0 for fewer than two."""
    return float(lengths(np.diff(as_points(points), axis=0)).sum())


def at_distance(points: ArrayLike, travelled: ArrayLike) -> Points:
    """Return the places (m, 2) at (m,) metres along a line of (n, 2) points; its ends for what lies beyond them."""
    array = as_points(points)
    wanted, known = np.asarray(travelled, dtype=np.float64), distances(array)
    return np.column_stack([np.interp(wanted, known, array[:, 0]), np.interp(wanted, known, array[:, 1])])


def resample(points: ArrayLike, step: float) -> Points:
    """Return points at equal distances along a line.

    Parameters
    ----------
    points : array_like
        (n, 2) metres.
    step : float
        The longest distance wanted, metres along the line.

    Returns
    -------
    Points
        (m, 2), with both ends of the line; the points themselves where the line has no length.
    """
    array = as_points(points)
    whole = length(array)
    if whole == 0.0:
        return array
    return at_distance(array, np.linspace(0.0, whole, max(1, math.ceil(whole / step - 1e-9)) + 1))


def carried(points: ArrayLike, heading: ArrayLike, forward: ArrayLike, right: ArrayLike) -> Points:
    """Return the places of a point fixed to a body that moves along a path.

    Parameters
    ----------
    points : array_like
        (n, 2), the places of the origin of the body.
    heading : array_like
        (n,) degrees clockwise from north.
    forward, right : array_like
        Metres from the origin in the axes of the body, a number or (n,).

    Returns
    -------
    Points
        (n, 2): east + forward sin h + right cos h, north + forward cos h - right sin h.
    """
    array, angle = as_points(points), np.radians(np.asarray(heading, dtype=np.float64))
    ahead, aside = np.asarray(forward, dtype=np.float64), np.asarray(right, dtype=np.float64)
    sine, cosine = np.sin(angle), np.cos(angle)
    return array + np.column_stack([ahead * sine + aside * cosine, ahead * cosine - aside * sine])


def cross_track(points: ArrayLike, line: ArrayLike, *, extend: float = 0.0) -> CrossTrack:
    """Return how far points lie from a line, on the perpendicular from the line between its points.

    Parameters
    ----------
    points : array_like
        (n, 2) metres.
    line : array_like
        (m, 2) metres, at least two different points.
    extend : float
        Metres by which the line goes on straight past both of its ends.

    Returns
    -------
    CrossTrack
        The distance from the nearest place of the line, right of its direction positive, and where that place is,
        negative before the first point. NaN beyond the ends, where there is no perpendicular, and for points that are
        not finite.

    Raises
    ------
    ValueError
        When the line has no length.
    """
    array, course = as_points(points), distinct(line)
    if len(course) < 2:
        raise ValueError("a line needs two different points")
    starts, steps = course[:-1], np.diff(course, axis=0)
    sizes = lengths(steps)
    units = steps / sizes[:, np.newaxis]
    low, high = np.zeros(len(sizes)), sizes.copy()
    low[0], high[-1] = -extend, high[-1] + extend
    corners = np.stack([starts + units * low[:, np.newaxis], starts + units * high[:, np.newaxis]], axis=1)
    across, along = np.full(len(array), np.nan), np.full(len(array), np.nan)
    good = np.flatnonzero(np.isfinite(array).all(axis=1))
    near = nearest_segments(array[good], corners)
    vector = array[good] - starts[near]
    raw = dots(vector, units[near])
    foot = np.clip(raw, low[near], high[near])
    rest = vector - units[near] * foot[:, np.newaxis]
    tangent = units[near] + _beyond(units, near, raw > high[near], 1) + _beyond(units, near, raw < low[near], -1)
    side = rest[:, 0] * tangent[:, 1] - rest[:, 1] * tangent[:, 0]
    past = ((near == 0) & (raw < low[near] - 1e-9)) | ((near == len(sizes) - 1) & (raw > high[near] + 1e-9))
    across[good] = np.where(past, np.nan, np.copysign(lengths(rest), side))
    along[good] = np.where(past, np.nan, distances(course)[near] + foot)
    return CrossTrack(across, along)


def distinct(points: ArrayLike) -> Points:
    """Return the finite points of (n, 2) without those equal to the one before."""
    array = as_points(points)
    array = array[np.isfinite(array).all(axis=1)]
    keep = np.ones(len(array), dtype=np.bool_)
    keep[1:] = (array[1:] != array[:-1]).any(axis=1)
    return array[keep]


def lengths(vectors: Points) -> Floats:
    """Return the lengths (n,) of (n, 2) vectors."""
    return np.asarray(np.hypot(vectors[:, 0], vectors[:, 1]))


def _beyond(units: Points, near: NDArray[np.intp], where: NDArray[np.bool_], step: int) -> Points:
    """Return the direction of the neighbouring step for feet that are its corner, so that sides are told rightly."""
    other = np.clip(near + step, 0, len(units) - 1)
    return np.asarray(np.where((where & (other != near))[:, np.newaxis], units[other], 0.0))
