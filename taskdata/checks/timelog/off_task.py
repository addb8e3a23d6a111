"""A log is dated outside the times of its task.

What it checks
    That the records of a time log lie within the worked times (TIM) of their task, or within a day of them, which no
    zone is beyond. Logs that another rule on clocks explains are left to it. Judged.
Why it matters
    Either the log belongs to another task, or one of two clocks is wrong; the work is booked on the wrong day.
Example
    Bad: a task worked on 18 April with a log of 3 May.
    Good: a log of 18 April.
How to fix
    Find out which of the two is right. Move the log to its task, or correct the times.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._clocks import DAY, FirstTime, spans, spoken
from taskdata.checks.timelog._pieces import Piece
from taskdata.checks.timelog._watching import Tally, TrackWatch, found, watches
from taskdata.checks.timelog.clock_not_set import EARLIEST
from taskdata.checks.timelog.week_rollover import has_rolled
from taskdata.findings import Fact, Finding, Rule, Severity, Tolerance

HOURS = Tolerance("timelog.off-task.hours", 24.0, "h", "Allowed time between a log and the times of its task")
RULE = Rule(
    id="timelog.off-task",
    severity=Severity.WARNING,
    message=(
        "{count} of {total} records of {file} are dated outside the worked times of {task} ({what}), the first {at}."
    ),
    remedy="Find out which of the two is right; move the log to its task, or correct the times.",
    clause="D.48, 8.6.3",
    tolerances=(HOURS,),
)


@watches
class _Off(TrackWatch):
    """Records off the worked times of the task."""

    def begin(self) -> None:
        self.worked = list(spans(self.track.task))
        self.wanted = bool(self.worked)
        self.total = 0
        self.wrong = Tally()
        if self.worked:
            allowed = np.timedelta64(round(self.subject.profile[HOURS] * 3600), "s")
            self.start, self.stop = min(span.start for span in self.worked), max(span.stop for span in self.worked)
            self.earliest, self.latest = self.start - allowed, self.stop + allowed

    def see(self, piece: Piece) -> None:
        self.total += len(piece.time)
        off = np.flatnonzero((piece.time < self.earliest) | (piece.time > self.latest))
        self.wrong.add(piece, off, lambda at: spoken(piece.time[at]))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such log, at its first record off the times."""
    for log, first in zip(found(subject, _Off), found(subject, FirstTime), strict=True):
        if first.time is None or not log.wrong.count or _explained(first, first.time):
            continue
        facts: dict[str, Fact] = {
            "count": log.wrong.count,
            "total": log.total,
            "what": f"{spoken(log.start)} to {spoken(log.stop)}",
            "at": log.wrong.value,
        }
        yield RULE.at(log.wrong.place, severity=None, file=log.track.log.file, task=log.track.task.id, **facts)


def _explained(first: FirstTime, time: np.datetime64) -> bool:
    """Tell whether the clock of a log is so wrong that another rule says it."""
    now = np.datetime64(datetime.now(UTC).replace(tzinfo=None), "ms")
    return bool(time < EARLIEST or time > now + DAY or has_rolled(first, time))
