"""Sentences of one moment put together: where the antenna was at each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from taskdata.formats.nmea.columns import AT, COLUMNS, GGA_RANK, Rows

BACK_S = 43_200.0
"""A time of day that goes back by more than this is that of the next day."""

NAMES = tuple(name for name in COLUMNS if name != "rank")
"""The columns of a log, NaN where not known."""
_OF_GGA = ("up_m", "fix", "satellites", "hdop")
_FIRST = ("speed_m_s", "course_deg")
_LAST = ("lat_spread_m", "lon_spread_m")


class Dates:
    """What is known of the date while epochs pass."""

    def __init__(self) -> None:
        self._day = np.nan
        self._clock = np.nan

    def at(self, clocks: NDArray[np.float64], said: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the days (n,) of times of day, NaN before any sentence has said a date; ``said`` are those that do."""
        back = np.concatenate([[self._clock], clocks[:-1]]) - clocks > BACK_S
        back &= np.isnan(said)
        midnights, number = np.cumsum(back), np.arange(len(clocks))
        last = np.maximum.accumulate(np.where(np.isnan(said), -1, number))
        days = np.where(last < 0, self._day + midnights, said[last] + midnights - midnights[last])
        self._day, self._clock = float(days[-1]), float(clocks[-1])
        return days


def epochs(found: Iterable[Rows]) -> Iterator[NDArray[np.float64]]:
    """Yield the epochs with a position, (n, columns in the order of ``NAMES``), some thousands at a time.

    Sentences with one time of day are of one epoch; VTG, which has none, is of the epoch before it. Where several
    receivers or systems of satellites speak, the position of all systems together (talker GN) counts before GPS alone.
    The date comes from RMC and ZDA and goes on over midnight; what comes before the first date gets it from that.
    """
    dates, waiting = Dates(), []
    for sentences, first in _whole_epochs(found):
        rows = _put_together(sentences, first, dates)
        rows = rows[~np.isnan(rows[:, NAMES.index("lat")])]
        undated = np.isnan(rows[:, NAMES.index("day")])
        waiting += [rows[undated]] if undated.any() else []
        rows = rows[~undated]
        if len(rows):
            yield _dated(np.concatenate([*waiting, rows]), sum(map(len, waiting)))
            waiting = []
    if waiting:
        yield np.concatenate(waiting)


def _whole_epochs(found: Iterable[Rows]) -> Iterator[tuple[Rows, NDArray[np.intp]]]:
    """Yield sentences of whole epochs, and where each begins; what comes before the first time of day is left out."""
    left = np.empty((0, len(COLUMNS)))
    for more in found:
        rows = np.concatenate([left, more])
        first = _beginnings(rows)
        if len(first) > 1:
            yield rows[first[0] : first[-1]], first[:-1] - first[0]
        left = rows[first[-1] :] if len(first) else rows[:0]
    if len(left):
        yield left, np.zeros(1, dtype=np.intp)


def _beginnings(rows: Rows) -> NDArray[np.intp]:
    """Return which sentences say another time of day than the last one that says any."""
    timed = np.flatnonzero(~np.isnan(rows[:, AT["clock"]]))
    clocks = rows[timed, AT["clock"]]
    return timed[np.concatenate([[True], clocks[1:] != clocks[:-1]])] if len(timed) else timed


def _put_together(rows: Rows, first: NDArray[np.intp], dates: Dates) -> NDArray[np.float64]:
    """Return epochs of sentences; of a position GGA counts before RMC."""
    number, epoch = np.arange(len(rows)), np.repeat(np.arange(len(first)), np.diff(first, append=len(rows)))
    made = np.full((len(first), len(NAMES)), np.nan)
    clocks = rows[first, AT["clock"]]
    made[:, NAMES.index("clock")] = clocks
    made[:, NAMES.index("day")] = dates.at(clocks, _picked(rows[:, AT["day"]], first, last=True))
    ranks = rows[:, AT["rank"]]
    best = np.maximum.reduceat(ranks, first)
    place = np.minimum.reduceat(np.where(ranks == best[epoch], number, len(rows)), first)
    known = best > 0.0
    for name in ("lat", "lon", *_OF_GGA):
        here = known & (best >= GGA_RANK) if name in _OF_GGA else known
        made[here, NAMES.index(name)] = rows[place[here], AT[name]]
    for name in (*_FIRST, *_LAST):
        made[:, NAMES.index(name)] = _picked(rows[:, AT[name]], first, last=name in _LAST)
    return made


def _picked(values: NDArray[np.float64], first: NDArray[np.intp], *, last: bool) -> NDArray[np.float64]:
    """Return of each epoch the first or last value that is said, NaN where none is."""
    number, none = np.arange(len(values)), np.isnan(values)
    if last:
        at = np.maximum.reduceat(np.where(none, -1, number), first)
        return np.where(at < 0, np.nan, values[at])
    at = np.minimum.reduceat(np.where(none, len(values), number), first)
    return np.where(at == len(values), np.nan, values[np.minimum(at, len(values) - 1)])


def _dated(rows: NDArray[np.float64], waiting: int) -> NDArray[np.float64]:
    """Give epochs that came before the first date a day: that of the first dated one, counted back over midnights."""
    if waiting:
        clocks, day = rows[: waiting + 1, 0], NAMES.index("day")
        back = (clocks[:-1] - clocks[1:] > BACK_S)[::-1]
        rows[:waiting, day] = (rows[waiting, day] - np.cumsum(back))[::-1]
    return rows
