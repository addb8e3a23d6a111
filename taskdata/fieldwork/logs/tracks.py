"""The track of a positioning device in a local plane: usable positions, stretches without a break, headings.

A position counts when it is a place on Earth, its fix is not marked as none or wrong, and it is not farther than half a
degree from the middle of the log. A single one that jumps off the way and back, by more than 3 m and five usual steps,
is left out. Between two positions ground is computed as driven straight, unless the way is
broken: it took longer than 5 s and five usual intervals, or would have needed more than 40 m/s; without times, a step
longer than 50 m and ten usual steps breaks it.

A machine stands where its positions stay within 10 cm of one for more than 2 s, or within 1 m for more than 20 s (as
many records without times): its place is that one then, so that their scatter adds neither way nor ground.

Reverse is told by the sign of the logged speed (DDI 397). A log whose speed is never negative, or that has none, tells
it by its path: where that turns by more than 120° at less than half its usual speed, or by more than 165° at any, the
machine went back; else it turned. The direction in which most of the way was made is forward.

Where the path bends, points are put between the positions, so that it goes on along arcs: they have no record of their
own, and what the record before them tells holds for them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.fieldwork.logs.logged_values import Flags, Values
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.bends import refined
from taskdata.geometry.headings import gears_between, headings, moving_indices, signs, sizes_and_turns
from taskdata.geometry.paths import lengths
from taskdata.geometry.plane import LocalPlane
from taskdata.model.logs import LogRecords

SPEED = 397
_NO_FIX = (0, 14)
_FAR_DEGREES = 0.5
_BREAK_S, _BREAK_INTERVALS, _BREAK_SPEED = 5.0, 5.0, 40.0
_BREAK_M, _BREAK_STEPS = 50.0, 10.0
_STRAY_M, _STRAY_STEPS = 3.0, 5.0
_STANDS = ((0.1, 2.0), (1.0, 20.0))
"""Metres and seconds (or records): who stays so near for longer stands."""
_BLOCK = 1024
_STILL_M, _SHARP_DEGREES, _BACK_DEGREES, _SLOW, _LONGEST_M = 0.1, 120.0, 165.0, 0.5, 6.0

Indices = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Track:
    """A track of m places at or between n records.

    Parameters
    ----------
    kept : ndarray
        (m,) the record of each place, or the last before it.
    path : ndarray
        (m, 2) metres east and north.
    seconds : ndarray or None
        (m,) since the first stamp of the log.
    broken : ndarray
        (m - 1,) where nothing is known of the way to the next place.
    heading : ndarray
        (m,) degrees clockwise from north of the plane, of a body whose axle lies below the device; NaN in a stretch
        that did not move.
    gear : ndarray
        (m - 1,) +1 on the way to the next place forward, -1 in reverse.
    share : ndarray
        (m,) how far each place lies on the way to the next record with a position, 0 at a record, below 1.
    strays : int
        How many single positions jumped off the way and back, and are left out.
    """

    kept: Indices
    path: Points
    seconds: Floats | None
    broken: Flags
    heading: Floats
    gear: Indices
    share: Floats
    strays: int = 0

    @property
    def starts(self) -> list[int]:
        """Where stretches begin."""
        return [0, *(int(index) + 1 for index in np.flatnonzero(self.broken))] if len(self.kept) else []


def usable(records: LogRecords) -> Indices:
    """Return the records with a position to go by."""
    lon, lat = records.lon, records.lat
    good = np.isfinite(lon) & np.isfinite(lat) & (np.abs(lat) <= 90.0)
    if records.status is not None:
        good &= ~np.isin(records.status, _NO_FIX)
    if good.any():
        with np.errstate(invalid="ignore"):
            middle = float(np.degrees(np.angle(np.exp(1j * np.radians(lon[good])).sum())))
            east = np.mod(lon - middle + 180.0, 360.0)
            off = np.abs(east - np.median(east[good]))
            good &= (off <= _FAR_DEGREES) & (np.abs(lat - np.median(lat[good])) <= _FAR_DEGREES)
    return np.flatnonzero(good)


def track(
    values: Values, plane: LocalPlane, window: float, *, continuous: bool = False, halved: Flags | None = None
) -> Track:
    """Return the track of a log.

    Parameters
    ----------
    plane : LocalPlane
    window : float
        Metres of path that give the heading.
    continuous : bool
        The positions are the vertices of a line, however far apart.
    halved : ndarray, optional
        (n,) records whose way to the next position gets a place in its middle.
    """
    records = values.records
    kept = usable(records)
    path = plane.forward(np.column_stack([records.lon[kept], records.lat[kept]]))
    stray = np.zeros(len(kept), dtype=np.bool_) if continuous else _strays(path)
    kept, path = kept[~stray], path[~stray]
    seconds = None if values.seconds is None else values.seconds[kept]
    broken = _broken(path, seconds, continuous)
    path = _settled(path, seconds)
    gear = _gears(path, seconds, broken, _signed_speed(values), kept)
    halves = None if halved is None else np.logical_or.reduceat(halved, kept)[: len(broken)] if len(kept) else None
    points, at = (path, np.arange(len(path), dtype=np.float64)) if continuous else refined(path, broken, halves)
    place = at.astype(np.intp)
    steps = place[:-1]
    broken, arriving = broken[steps], gear[np.ceil(at).astype(np.intp)]
    result = np.full(len(points), np.nan)
    starts = [0, *(np.flatnonzero(broken) + 1)]
    for start, end in zip(starts, [*starts[1:], len(points)], strict=True):
        result[start:end] = headings(points[start:end], window, speed=arriving[start:end], still=_STILL_M)
    clock = None if seconds is None or not len(at) else np.interp(at, np.arange(len(seconds)), seconds)
    return Track(kept[place], points, clock, broken, result, arriving[1:], at - place, int(stray.sum()))


def _gears(path: Points, seconds: Floats | None, broken: Flags, speed: Floats | None, kept: Indices) -> Indices:
    """Return +1 where a path arrives at its points going forward, and -1 where in reverse, (n,)."""
    if speed is not None:
        return signs(speed[kept])
    result = np.ones(len(path), dtype=np.intp)
    starts = [0, *(np.flatnonzero(broken) + 1)]
    for start, end in zip(starts, [*starts[1:], len(path)], strict=True):
        result[start:end] = reversals(path[start:end], None if seconds is None else seconds[start:end])
    return result


def _strays(path: Points) -> Flags:
    """Return which single positions jump off the way and back, (m,)."""
    found = np.zeros(len(path), dtype=np.bool_)
    steps = lengths(np.diff(path, axis=0))
    usual = steps[steps > _STILL_M]
    if len(path) < 3 or len(usual) == 0:
        return found
    jump = np.minimum(steps[:-1], steps[1:])
    past = lengths(path[2:] - path[:-2])
    found[1:-1] = (jump > max(_STRAY_M, _STRAY_STEPS * float(np.median(usual)))) & (past < jump / 2.0)
    return found


def _settled(path: Points, seconds: Floats | None) -> Points:
    """Return a path that stays in one place where the machine stands."""
    clock = np.arange(len(path), dtype=np.float64) if seconds is None else seconds
    result = np.array(path)
    for radius, least in _STANDS:
        beyond = np.minimum(np.searchsorted(clock, clock + least, side="right"), len(path) - 1)
        near = lengths(path[beyond] - path) < radius
        free = 0
        for first in np.flatnonzero(near & (clock[beyond] - clock > least)).tolist():
            if first < free or not (lengths(path[first : beyond[first] + 1] - path[first]) < radius).all():
                continue
            free = _first_beyond(path, first, int(beyond[first]), radius)
            result[first:free] = path[first]
    return result


def _first_beyond(path: Points, first: int, known: int, radius: float) -> int:
    """Return the first position after the known ones that is no longer within a radius of an earlier one."""
    start = known + 1
    while start < len(path):
        part = lengths(path[start : start + _BLOCK] - path[first]) >= radius
        if part.any():
            return start + int(np.argmax(part))
        start += _BLOCK
    return len(path)


def reversals(path: Points, seconds: Floats | None) -> Indices:
    """Return 1 where a path arrives at its points (n, 2) going forward, and -1 where in reverse, (n,)."""
    result = np.ones(len(path), dtype=np.intp)
    kept = moving_indices(path, _STILL_M)
    if len(kept) < 3:
        return result
    sizes, turns = sizes_and_turns(path[kept])
    turn = np.degrees(np.abs(turns))
    pace = sizes if seconds is None else sizes / np.maximum(np.diff(seconds[kept]), 1e-3)
    slow = np.minimum(pace[1:], pace[:-1]) < _SLOW * float(np.median(pace))
    short = np.maximum(sizes[1:], sizes[:-1]) <= _LONGEST_M
    back = ((turn > _SHARP_DEGREES) & slow) | (turn > _BACK_DEGREES)
    gears = gears_between(sizes, back & short)
    return np.asarray(gears[np.clip(np.searchsorted(kept, np.arange(len(path))) - 1, 0, len(gears) - 1)])


def _broken(path: Points, seconds: Floats | None, continuous: bool) -> Flags:
    if len(path) < 2 or continuous:
        return np.zeros(max(len(path) - 1, 0), dtype=np.bool_)
    steps = lengths(np.diff(path, axis=0))
    if seconds is None:
        return np.asarray(steps > max(_BREAK_M, _BREAK_STEPS * float(np.median(steps))))
    took = np.diff(seconds)
    moving_indices = took[took > 0.0]
    usual = float(np.median(moving_indices)) if len(moving_indices) else 0.0
    long = took > max(_BREAK_S, _BREAK_INTERVALS * usual)
    return np.asarray(long | (steps > np.maximum(took, usual) * _BREAK_SPEED + 1.0))


def _signed_speed(values: Values) -> Floats | None:
    """Return the logged speed at each record, m/s; None where it never tells reverse from forward."""
    for channel in values.parts([SPEED]):
        held = values.held(*channel)
        if held is not None and bool((held.value[held.known] < 0).any()):
            return np.where(held.known, held.value, 0) / 1000.0
    return None
