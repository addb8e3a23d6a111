"""Where a body heads that moves along a path in a local plane, from the path itself.

Metres, x east and y north. Headings are degrees clockwise from the north of the plane, in [0, 360).
"""

from __future__ import annotations

import math
from bisect import bisect_left
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from taskdata.geometry.arrays import Floats, Points, as_points
from taskdata.geometry.paths import at_distance, distances, lengths

_TURN = 2.0 * math.pi
_CORNER = math.radians(60.0)
"""A turn from one chord to the next that is sharper is a corner rather than a bend."""


def headings(
    points: ArrayLike,
    window: float,
    *,
    speed: ArrayLike | None = None,
    still: float = 0.1,
    cusp: float = 120.0,
    longest: float = 6.0,
) -> Floats:
    """Return the heading at each point of a path, from the path itself.

    The heading is the direction of the chord from half a window behind to half a window ahead along the path. Where the
    direction of travel changes, and at the ends, the chord stops there, and so lies to one side: the bend of the path
    from there on takes the heading on from the middle of the chord to the point. That bend is the lesser of two that
    follow each other, so that neither noise nor a corner farther on turns the heading. Points within ``still`` of the
    last point that counted do not count, and keep its heading: so standing does.

    Parameters
    ----------
    points : array_like
        (n, 2) metres in the order of time. A point that is not finite keeps the last heading.
    window : float
        Length of the chord, metres along the path.
    speed : array_like, optional
        (n,) speed on arriving at the point, negative in reverse; 0 and NaN keep the last sign. Without it a path
        that turns by more than ``cusp`` at a point, between steps of at most ``longest``, changes between forward and
        reverse, and the direction in which most of the way was made is forward.
    still : float
        Metres.
    cusp : float
        Degrees.
    longest : float
        Metres; after a longer step a sharp turn may be a turn that was driven between two points.

    Returns
    -------
    Floats
        (n,) degrees clockwise from north; NaN everywhere when the path never moved. Points before the first that moved
        have its heading.
    """
    array = as_points(points)
    kept = moving_indices(array, still)
    result = np.full(len(array), np.nan)
    if len(kept) < 2:
        return result
    path = array[kept]
    gears = _gears(path, cusp, longest) if speed is None else signs(np.asarray(speed, dtype=np.float64)[kept[1:]])
    last = np.searchsorted(kept, np.arange(len(array)), side="right") - 1
    result[:] = _chords(path, gears, window, longest)[np.maximum(last, 0)]
    return result


def moving_indices(points: Points, still: float) -> NDArray[np.intp]:
    """Return the indices of points that lie at least ``still`` metres from the last of them: those that count."""
    finite = np.flatnonzero(np.isfinite(points).all(axis=1))
    steps = lengths(np.diff(points[finite], axis=0))
    short = [*np.flatnonzero((steps < still) | (steps == 0.0)).tolist(), len(finite)]
    places: list[tuple[float, float]] = points[finite].tolist() if len(short) > 1 else []
    skipped, at = [], 0
    while (last := short[bisect_left(short, at)]) < len(finite):  # up to there each lies far enough from the one before
        at = last + 1
        while at < len(finite) and _near(places[last], places[at], still):
            skipped.append(at)
            at += 1
    return np.delete(finite, skipped)


def _near(one: tuple[float, float], two: tuple[float, float], still: float) -> bool:
    gone = math.hypot(two[0] - one[0], two[1] - one[1])
    return gone < still or gone == 0.0


def sizes_and_turns(path: Points) -> tuple[Floats, Floats]:
    """Return the length of each step of a path, and the turn from each step to the next.

    Parameters
    ----------
    path : Points
        (n, 2) metres.

    Returns
    -------
    tuple of Floats
        (n - 1,) metres, and (n - 2,) radians in [-pi, pi), right positive.
    """
    steps = np.diff(path, axis=0)
    courses = np.arctan2(steps[:, 0], steps[:, 1])
    return lengths(steps), np.mod(np.diff(courses) + math.pi, _TURN) - math.pi


def gears_between(sizes: Floats, changes: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Return +1, forward, or -1, in reverse, for each of n steps; forward is the gear in which most of the way is made.

    ``changes`` are the n - 1 points between the steps at which the gear changes.
    """
    gears = np.where(np.concatenate([[0], np.cumsum(changes)]) % 2 == 0, 1, -1)
    return gears if float((sizes * gears).sum()) >= 0.0 else -gears


def _gears(path: Points, cusp: float, longest: float) -> NDArray[np.intp]:
    """Return +1 or -1 for each step of a path: changed at each cusp, forward where most of the way is."""
    sizes, turn = sizes_and_turns(path)
    sharp = (np.abs(turn) > math.radians(cusp)) & (np.maximum(sizes[1:], sizes[:-1]) <= longest)
    return gears_between(sizes, sharp)


def signs(speed: Floats) -> NDArray[np.intp]:
    """Return +1 or -1 for each speed; 0 and NaN keep the last sign, and are +1 before the first."""
    signs = np.sign(np.nan_to_num(speed)).astype(np.intp)
    known = np.maximum.accumulate(np.where(signs != 0, np.arange(len(signs)), -1))
    return np.where(known >= 0, signs[np.maximum(known, 0)], 1)


def _chords(path: Points, gears: NDArray[np.intp], window: float, longest: float) -> Floats:
    """Return the heading at each of (n, 2) points, whose n - 1 steps were driven in the gears given."""
    travelled = distances(path)
    stretch = np.concatenate([[0], np.cumsum(gears[1:] != gears[:-1])])
    first = np.flatnonzero(np.concatenate([[True], stretch[1:] != stretch[:-1]]))
    bounds = np.append(first, len(gears))
    begins, ends = travelled[bounds[:-1]], travelled[bounds[1:]]
    own = np.concatenate([stretch[:1], stretch])
    low = np.maximum(travelled - window / 2.0, begins[own])
    high = np.minimum(travelled + window / 2.0, ends[own])
    chord = at_distance(path, high) - at_distance(path, low)
    reverse = np.concatenate([gears[:1], gears]) < 0
    angle = np.arctan2(chord[:, 0], chord[:, 1])
    angle += _one_sided(path, travelled - (low + high) / 2.0, bounds, window / 2.0, longest)
    return _degrees(angle + np.where(reverse, math.pi, 0.0))


def _one_sided(path: Points, off: Floats, bounds: NDArray[np.intp], least: float, longest: float) -> Floats:
    """Return what the direction at each point has beyond that of its chord, radians.

    Each point lies ``off`` metres beyond the middle of its chord. ``bounds`` are the points at which stretches of one
    gear begin, and the last point of all.
    """
    found = np.zeros(len(path))
    for start, end in pairwise(bounds.tolist()):
        whole = slice(start, end + 1)
        for points, side in ((path[whole], 1), (path[whole][::-1], -1)):
            rate, half = _bend(points, least, longest)
            if rate == 0.0:
                continue
            reached = np.arange(start if start == 0 else start + 1, end + 1)
            near = reached[(side * off[reached]) < -1e-9]
            edge = near == (start if side > 0 else end)
            away = np.where(edge, np.maximum(np.abs(off[near]), half), np.abs(off[near]))
            found[near] -= rate * away
    return found


def _bend(points: Points, least: float, longest: float) -> tuple[float, float]:
    """Return by how much a path turns a metre at its first point, radians, and half the length of its first step.

    Three chords that follow each other, each of at least ``least`` metres, make two bends; 0 where these contradict
    each other, where they are corners, or where the path is too short or its points too far apart to tell.
    """
    corners, at = [0], 0
    while len(corners) < 4 and at < len(points) - 1:
        at += 1
        if math.hypot(*(points[at] - points[corners[-1]])) >= least:
            corners.append(at)
    if len(corners) < 4:
        return 0.0, 0.0
    sizes, turns = sizes_and_turns(points[corners])
    if sizes.max() > max(longest, 2.0 * least) or np.abs(turns).max() > _CORNER or turns[0] * turns[1] <= 0.0:
        return 0.0, 0.0
    rates = 2.0 * turns / (sizes[1:] + sizes[:-1])
    return float(min(rates, key=abs)), math.hypot(*(points[1] - points[0])) / 2.0


def _degrees(angles: Floats) -> Floats:
    """Return radians as degrees in [0, 360)."""
    found = np.degrees(angles) % 360.0
    found[found >= 360.0] = 0.0
    return np.asarray(found)
