"""The time at each record of a log, by a clock that may have been set.

A log is written in the order of time, so a stamp below the one before it tells that the clock was set back, not that
time went back. How long that one interval really took is not known: it is taken for a usual one, and all later stamps
count from there. A clock that was wrong for a while shows as a fall and a leap ahead of the same size, in either order;
both intervals are then usual ones. A leap ahead without a fall is a pause: nothing tells it from a clock set ahead.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats

LEAP_S, LEAP_INTERVALS = 5.0, 5.0
"""A step is a leap from so many seconds, and so many usual intervals."""

_SAME_S = 1.0
"""A fall and a leap are of the same size within so many seconds and a usual interval."""


@dataclass(frozen=True, slots=True)
class SetBack:
    """A record whose stamp lies so many seconds below that of the record before it."""

    record: int
    seconds: float


@dataclass(frozen=True, eq=False)
class Clock:
    """The time at n records.

    Parameters
    ----------
    seconds : ndarray or None
        (n,) since the first stamp, never falling; None where no two stamps tell the time.
    set_back : tuple of SetBack
        Every stamp that falls, in the order of the log.
    """

    seconds: Floats | None
    set_back: tuple[SetBack, ...] = ()


def clock(stamps: NDArray[np.datetime64]) -> Clock:
    """Return the time at each record from (n,) stamps; records without one lie evenly between those with one."""
    known = np.flatnonzero(~np.isnat(stamps))
    if len(known) < 2:
        return Clock(None)
    millis = stamps[known].astype("datetime64[ms]").astype(np.float64)
    steps = np.diff(millis) / 1000.0
    falls = np.flatnonzero(steps < 0.0)
    found = tuple(SetBack(int(known[at + 1]), -float(steps[at])) for at in falls.tolist())
    if len(falls):
        if not (steps > 0.0).any():
            return Clock(None, found)
        steps = _mended(steps)
    passed = np.concatenate([[0.0], np.cumsum(steps)])
    return Clock(np.interp(np.arange(len(stamps)), known, passed), found)


def _mended(steps: Floats) -> Floats:
    """Return the steps from stamp to stamp without those by which the clock was set."""
    usual = float(np.median(steps[steps > 0.0]))
    wrong = _set(steps, usual)
    rising = np.where((steps > 0.0) & ~wrong, steps, usual)
    before, after = np.concatenate([[usual], rising[:-1]]), np.concatenate([rising[1:], [usual]])
    middle = np.median(np.stack([before, after, np.full(len(steps), usual)]), axis=0)
    return np.where(wrong, middle, steps)


def _set(steps: Floats, usual: float) -> NDArray[np.bool_]:
    """Return the steps in which the clock was set: all falls, and leaps that undo a fall next to them."""
    wrong = steps < 0.0
    events = np.flatnonzero(wrong | (steps > max(LEAP_S, LEAP_INTERVALS * usual)))
    earlier, later = steps[events[:-1]], steps[events[1:]]
    undone = (earlier * later < 0.0) & (np.abs(earlier + later - 2.0 * usual) <= _SAME_S + usual)
    free = 0
    for number in np.flatnonzero(undone).tolist():
        if number >= free:
            wrong[events[number : number + 2]] = True
            free = number + 2
    return np.asarray(wrong)
