"""A log is dated in the future.

What it checks
    That no record of a time log is dated later than now, by the clock of the computer that checks, and an allowance for
    zones.
Why it matters
    The clock of the machine is wrong, so every date and often the order of the work is.
Example
    Bad: records of the year 2155.
    Good: records of today.
How to fix
    Set the clock of the terminal, or that of this computer. Write the right date into the task.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._clocks import spoken
from taskdata.checks.timelog._pieces import Piece
from taskdata.checks.timelog._watching import Tally, TrackWatch, found, watches
from taskdata.findings import Finding, Rule, Severity, Tolerance

HOURS = Tolerance("timelog.clock-in-future.hours", 24.0, "h", "Allowed time ahead of this computer")
RULE = Rule(
    id="timelog.clock-in-future",
    severity=Severity.WARNING,
    message="{count} records of {file} are dated in the future, the first {at}.",
    remedy="Set the clock of the terminal, or that of this computer, and write the right date into the task.",
    tolerances=(HOURS,),
)


@watches
class _Late(TrackWatch):
    """Records in the future."""

    def begin(self) -> None:
        now = np.datetime64(datetime.now(UTC).replace(tzinfo=None), "ms")
        self.latest = now + np.timedelta64(round(self.subject.profile[HOURS] * 3600), "s")
        self.wrong = Tally()

    def see(self, piece: Piece) -> None:
        self.wrong.add(piece, np.flatnonzero(piece.time > self.latest), lambda at: spoken(piece.time[at]))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log with such records, at the first."""
    for log in found(subject, _Late):
        wrong = log.wrong
        if wrong.count:
            yield RULE.at(wrong.place, count=wrong.count, file=log.track.log.file, at=wrong.value)
