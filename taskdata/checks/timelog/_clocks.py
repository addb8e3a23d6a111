"""The clock of a log against the stamps of its task."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import numpy as np

from taskdata.checks.stamp._stamps import parse
from taskdata.checks.timelog._pieces import Piece
from taskdata.checks.timelog._watching import TrackWatch, watches
from taskdata.dataclass import dataclass
from taskdata.findings import Place
from taskdata.model.tasks import Task

PLANNED = 1
DAY = np.timedelta64(1, "D")
GPS_WEEKS = 1024 * 7 * DAY
"""After 1024 weeks the week number of GPS begins again at 0 (interface specification IS-GPS-200)."""


@dataclass(frozen=True, slots=True)
class Span:
    """Worked time by the stamps of a task: local clock from and to (the same where it did not end), hours ahead."""

    start: np.datetime64
    stop: np.datetime64
    ahead: timedelta | None


def spans(task: Task) -> Iterator[Span]:
    """Yield the spans of a task that were worked, not planned."""
    for time in task.times:
        start, stop = parse(time.start), parse(time.stop)
        if time.kind != PLANNED and start is not None:
            begin = np.datetime64(start.clock.replace(tzinfo=None), "ms")
            if stop is not None:
                end = np.datetime64(stop.clock.replace(tzinfo=None), "ms")
            else:
                end = begin + np.timedelta64(max(time.duration_s or 0, 0), "s")
            yield Span(begin, max(begin, end), start.ahead)


@watches
class FirstTime(TrackWatch):
    """The first record of a log that has a time: ``time``, ``utc`` and ``place``; ``time`` is None without one."""

    def begin(self) -> None:
        self.time: np.datetime64 | None = None
        self.utc = np.datetime64("NaT")
        self.place = Place()

    def see(self, piece: Piece) -> None:
        if self.time is not None:
            return
        known = np.flatnonzero(~np.isnat(piece.time))
        if len(known):
            at = int(known[0])
            self.time, self.place = piece.time[at], piece.place(at)
            if self.track.has_utc:
                self.utc = piece.utc[at]


def spoken(moment: np.datetime64) -> str:
    """Return a moment as text, to the second."""
    return str(moment.astype("datetime64[s]")).replace("T", " ")
