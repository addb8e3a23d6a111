"""How well is known where the edges of the worked ground of one log lie.

Across the heading an edge is off by the error of the position, by that of the heading over the way from the antenna to
the bar, and in bends by what the path may have done between records. Ground in square metres is in doubt at bends, at
both ends of a stretch, and where positions are missing while sections work.

The kind of fix tells how good a position is (standard deviations; orders of magnitude, common practice): fixed
real-time kinematic 2 to 3 cm, corrected 15 to 20 cm and free corrections below a metre from pass to pass in 95 % of
cases. A log that does not tell the kind of fix is taken to be of the best, which the report says.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.geometry.arrays import Floats
from taskdata.geometry.bends import FINE_M
from taskdata.geometry.paths import distances, lengths

BEST_M = 0.025
_BY_FIX = {1: 0.5, 2: 0.1, 3: 0.1, 4: BEST_M, 5: 0.1, 6: 2.0, 7: 2.0, 8: BEST_M}
"""Standard deviation of a position in metres by its status (meaning of the numbers from memory)."""

_LARGEST_TURN = math.radians(120.0)
"""What turns more within one interval reverses; its arc is taken for one of this angle."""


def position_m(work: LogWork) -> float:
    """Return the standard deviation of the positions of a log in metres: as the user says, else by the usual fix."""
    if work.settings.accuracy_m is not None:
        return work.settings.accuracy_m
    told = statuses(work)
    known = [_BY_FIX[status] for status in told.tolist() if status in _BY_FIX]
    return float(np.median(known)) if known else BEST_M


def statuses(work: LogWork) -> NDArray[np.uint8]:
    """Return the fixes of the positions that were used, where the log tells any."""
    status = work.source.records.status
    return np.empty(0, dtype=np.uint8) if status is None else np.asarray(status[work.track.kept])


def is_told(works: Sequence[LogWork]) -> bool:
    """Whether the user or the fixes of every log tell how good positions are."""
    return all(
        work.settings.accuracy_m is not None or bool(np.isin(statuses(work), list(_BY_FIX)).any()) for work in works
    )


def across_m(work: LogWork) -> Floats:
    """Return (m,) the standard deviation of the place of the bar across its heading, metres."""
    track, window = work.track, work.settings.heading_over_m
    scatter = position_m(work)
    lever = np.hypot(*(work.path - track.path).T)
    turned = scatter * math.sqrt(2.0) / max(window, abs(work.chain.axle))
    return np.asarray(np.sqrt(scatter**2 + (lever * turned) ** 2 + work.spread_m**2 + bends_m(work) ** 2))


def usual_m(work: LogWork) -> float:
    """Return the usual error across the heading while something works, metres."""
    working = work.strips.active.any(axis=1)
    return float(np.median(across_m(work)[:-1][working])) if working.any() else position_m(work)


def bends_m(work: LogWork) -> Floats:
    """Return (m,) by how much the bar may lie off across its heading where bends begin, end and change.

    Over each step and over the chord that gives the heading the course is taken to change evenly. Half of how much it
    does not, over the way to the bar, and an eighth of it over the step, are what may be amiss.
    """
    track = work.track
    found = np.zeros(len(track.path))
    for first, after in pairwise([*track.starts, len(track.path)]):
        here = slice(first, after)
        course = np.unwrap(np.radians(track.heading[here]))
        if after - first < 3 or not np.isfinite(course).all():
            continue
        way = distances(track.path[here])
        gap = _record_steps(work, here, way)
        half = np.maximum(work.settings.heading_over_m / 2.0, gap)
        before, ahead = np.interp(way - half, way, course), np.interp(way + half, way, course)
        uneven = np.abs(ahead - 2.0 * course + before)
        lever = np.hypot(*(work.path[here] - track.path[here]).T)
        found[here] = uneven * (lever / 4.0 + gap / 8.0)
    return found


def _record_steps(work: LogWork, here: slice, way: Floats) -> Floats:
    """Return at each place of a stretch the way from the record at or before it to the next."""
    kept = work.track.kept[here]
    first = np.flatnonzero(np.concatenate([[True], kept[1:] != kept[:-1]]))
    sizes = np.diff(np.append(way[first], way[-1]))
    return np.asarray(np.repeat(sizes, np.diff(np.append(first, len(kept)))))


def swept_m2(work: LogWork) -> float:
    """Return by how much the swept area itself is in doubt: in bends, by their arcs, and at the ends of stretches."""
    turn = np.abs(np.nan_to_num(np.radians(np.mod(np.diff(work.heading) + 180.0, 360.0) - 180.0)))
    share = 1.0 / np.sinc(np.minimum(turn, _LARGEST_TURN) / np.pi) - 1.0
    swept = np.bincount(work.pieces.interval, work.piece_areas, minlength=len(turn))
    wide = (_widths(work)[:-1] * work.strips.active).sum(axis=1)
    off = bends_m(work) + work.spread_m
    return float((swept * share).sum() + (wide * turn * off[:-1]).sum()) + _ends_m2(work)


def _widths(work: LogWork) -> Floats:
    """Return (m, k) the widths of the elements."""
    across = np.nan_to_num(work.strips.right - work.strips.left)
    return np.asarray(np.hypot(across[..., 0], across[..., 1]))


def _ends_m2(work: LogWork) -> float:
    """Return by how much area the heading at both ends of each stretch is in doubt, where the bar lies to one side.

    There the path goes on to one side only. In doubt is by how much the heading changes otherwise over the last
    stretch of half the heading window than over the one before; the bar's middle then lies ahead or back by that
    angle times its offset to the right. Chords of arcs leave a little more in doubt.
    """
    total = 0.0
    for first, after in pairwise([*work.track.starts, len(work.path)]):
        for order in (np.arange(first, after), np.arange(first, after)[::-1]):
            if len(order) > 2:
                total += _end_m2(work, order)
    return total


def _end_m2(work: LogWork, order: NDArray[np.intp]) -> float:
    """Return the doubt about the end of a stretch whose places are given from that end on."""
    row = min(order[0], order[1])
    wide = work.strips.right[order[0]] - work.strips.left[order[0]]
    working = float((np.hypot(wide[:, 0], wide[:, 1]) * work.strips.active[row]).sum())
    if not working > 0.0:
        return 0.0
    window, places = work.settings.heading_over_m, work.track.path[order]
    near = order[: 2 + int(np.searchsorted(distances(places), 2.0 * window))]
    gone = distances(work.track.path[near])
    angle = np.unwrap(np.radians(work.track.heading[near]))
    half = max(window / 2.0, float(gone[1]))
    at_end, on, beyond = np.interp([0.0, half, 2.0 * half], gone, angle)
    offset = work.path[order[0]] - work.track.path[order[0]]
    across = abs(offset[0] * math.cos(angle[0]) - offset[1] * math.sin(angle[0]))
    return float(np.nan_to_num(working * across * (abs(beyond - 2.0 * on + at_end) + 4.0 * FINE_M / window)))


def switched_m2(work: LogWork) -> tuple[Floats, Floats]:
    """Return the ground in m² that each opening, and each closing, leaves in doubt.

    All elements that switch in one interval do so at once. The error of the position along the way adds to it.
    """
    steps = np.nan_to_num(lengths(np.diff(work.path, axis=0)))
    wide, kept = _widths(work)[:-1], work.track.kept[:-1]
    along = math.sqrt(12.0) * position_m(work)
    found = []
    for zone in (work.opening, work.closing):
        reach = (wide * zone).sum(axis=1)
        groups = np.bincount(kept, reach * steps) if len(kept) else np.empty(0)
        width = np.zeros(len(groups))
        np.maximum.at(width, kept, reach)
        found.append(np.hypot(groups, width * along)[width > 0.0])
    return found[0], found[1]
