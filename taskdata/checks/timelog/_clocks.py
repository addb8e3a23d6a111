"""The clock of a log against the stamps of its task."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from taskdata.checks.stamp._stamps import parse
from taskdata.checks.timelog._tracks import Track

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


def spans(track: Track) -> Iterator[Span]:
    """Yield the spans of the task of a log that were worked, not planned."""
    for time in track.task.times:
        start, stop = parse(time.start), parse(time.stop)
        if time.kind != PLANNED and start is not None:
            begin = np.datetime64(start.clock.replace(tzinfo=None), "ms")
            if stop is not None:
                end = np.datetime64(stop.clock.replace(tzinfo=None), "ms")
            else:
                end = begin + np.timedelta64(max(time.duration_s or 0, 0), "s")
            yield Span(begin, max(begin, end), start.ahead)


def first_time(track: Track) -> tuple[int, np.datetime64] | None:
    """Return number and time of the first record of a log that has a time."""
    known = np.flatnonzero(~np.isnat(track.time))
    return (int(known[0]), track.time[known[0]]) if len(known) else None


def spoken(moment: np.datetime64) -> str:
    """Return a moment as text, to the second."""
    return str(moment.astype("datetime64[s]")).replace("T", " ")
