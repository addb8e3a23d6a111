"""A track split into passes: stretches of work without a turn.

Metres in a local plane, x east and y north. A pass ends where the work state goes off, where records are missing, and
where the direction of motion changes by more than a turn within a few metres: headland turns, corners and changes
between forward and reverse. Slow bends, as of a contour or a circle about a pivot, stay in one pass.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, Points, as_points
from taskdata.geometry.headings import headings
from taskdata.geometry.paths import at_distance, distances

WINDOW_M = 4.0
"""Metres of path over which a heading is smoothed."""


@dataclass(frozen=True, eq=False)
class Pass:
    """One pass, in the direction it was driven.

    Parameters
    ----------
    first, last : int
        Indices of its first and last record in the track.
    points : array (n, 2)
        Metres, at least two, each different from the one before.
    time_s : array (n,)
        Seconds; NaN where not known.
    heading_deg : array (n,)
        Direction of motion, clockwise from the north of the plane.
    """

    first: int
    last: int
    points: Points
    time_s: Floats
    heading_deg: Floats

    @property
    def travelled(self) -> Floats:
        """The way at each point, (n,) metres from 0."""
        return distances(self.points)

    @property
    def length_m(self) -> float:
        """Length of the pass in metres."""
        return float(self.travelled[-1])

    def at(self, travelled: ArrayLike) -> tuple[Points, Floats, Points]:
        """Return places (m, 2), seconds (m,) and unit vectors (m, 2) of motion at (m,) metres along the pass."""
        wanted, known = np.asarray(travelled, dtype=np.float64), self.travelled
        angle = np.radians(self.heading_deg)
        vector = np.column_stack([np.interp(wanted, known, np.sin(angle)), np.interp(wanted, known, np.cos(angle))])
        size = np.hypot(vector[:, 0], vector[:, 1])
        unit = vector / np.where(size > 0.0, size, 1.0)[:, np.newaxis]
        return at_distance(self.points, wanted), np.interp(wanted, known, self.time_s), unit


def split(
    track_xy: ArrayLike,
    time_s: ArrayLike | None = None,
    working: ArrayLike | None = None,
    *,
    turn: float = 45.0,
    within: float = 20.0,
    shortest: float = 10.0,
    gap_s: float = 10.0,
) -> tuple[Pass, ...]:
    """Split a track into passes.

    Parameters
    ----------
    track_xy : array_like
        (n, 2) metres in the order of time. A point that is not finite ends a pass.
    time_s : array_like, optional
        (n,) seconds. None = not known.
    working : array_like, optional
        (n,) bool: whether the machine works from this record on. None = always.
    turn, within : float
        A turn is a change of direction by more than ``turn`` degrees within ``within`` metres of path.
    shortest : float
        Passes shorter than this many metres do not count.
    gap_s : float
        A pause between records longer than this many seconds ends a pass.

    Returns
    -------
    tuple of Pass
        In the order of time.

    Raises
    ------
    ValueError
        When times or work states differ in number from the points.
    """
    track = as_points(track_xy)
    count = len(track)
    time = np.full(count, np.nan) if time_s is None else np.asarray(time_s, dtype=np.float64)
    active = np.ones(count, dtype=np.bool_) if working is None else np.asarray(working, dtype=np.bool_)
    if not len(time) == len(active) == count:
        raise ValueError(f"{count} points need as many times and work states, not {len(time)} and {len(active)}")
    good = np.flatnonzero(np.isfinite(track).all(axis=1))
    if len(good) < 2:
        return ()
    course = headings(track[good], WINDOW_M, speed=np.ones(len(good)), still=0.05)
    straight = active[good] & ~_turning(distances(track[good]), course, turn, within)
    with np.errstate(invalid="ignore"):
        broken = (np.diff(time[good]) > gap_s) | (np.diff(good) > 1)
    found = (_pass(track, time, good[run], course[run]) for run in _runs(straight, broken))
    return tuple(item for item in found if item is not None and item.length_m >= shortest)


def _turning(travelled: Floats, course: Floats, turn: float, within: float) -> NDArray[np.bool_]:
    """Return at which points the direction changes by more than ``turn`` within ``within`` metres about them."""
    if not np.isfinite(course).all():
        return np.ones(len(course), dtype=np.bool_)
    angle = np.radians(course)
    sides = []
    for offset in (-within / 2.0, within / 2.0):
        nearest = np.searchsorted(travelled, travelled + offset)
        sides.append(angle[np.clip(nearest, 0, len(angle) - 1)])
    change = np.abs(np.mod(sides[1] - sides[0] + np.pi, 2.0 * np.pi) - np.pi)
    return np.asarray(change > np.radians(turn))


def _runs(straight: NDArray[np.bool_], broken: NDArray[np.bool_]) -> Iterator[slice]:
    """Yield the runs of true points that no break divides."""
    cut = np.concatenate([[True], (straight[1:] != straight[:-1]) | broken, [True]])
    bounds = np.flatnonzero(cut)
    yield from (slice(low, high) for low, high in pairwise(bounds) if straight[low])


def _pass(track: Points, time: Floats, index: NDArray[np.intp], course: Floats) -> Pass | None:
    """Return the pass of some records without those that stand still, None where fewer than two are left."""
    points = track[index]
    moved = np.ones(len(points), dtype=np.bool_)
    moved[1:] = (points[1:] != points[:-1]).any(axis=1)
    if moved.sum() < 2:
        return None
    return Pass(int(index[0]), int(index[-1]), points[moved], time[index][moved], course[moved])
