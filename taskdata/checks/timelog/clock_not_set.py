"""The clock of the machine was not set.

What it checks
    That no record of a time log was written before 1990. Dates count from 1980 on, so a clock that was never set says
    1980.
Why it matters
    The work cannot be found by its date, and laws that ask when a product was applied are not met.
Example
    Bad: 1980-01-01 00:03:20.
    Good: 2024-04-18 07:15:20.
How to fix
    Set the clock of the terminal, or let its GNSS receiver set it. Write the right date into the task.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._clocks import spoken
from taskdata.checks.timelog._pieces import Piece
from taskdata.checks.timelog._watching import Tally, TrackWatch, found, watches
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="timelog.clock-not-set",
    severity=Severity.WARNING,
    message="{count} records of {file} are dated before 1990, the first {at}.",
    remedy="Set the clock of the terminal, and write the right date into the task.",
)
EARLIEST = np.datetime64("1990-01-01", "ms")


@watches
class _Early(TrackWatch):
    """Records of no machine's time."""

    def begin(self) -> None:
        self.wrong = Tally()

    def see(self, piece: Piece) -> None:
        self.wrong.add(piece, np.flatnonzero(piece.time < EARLIEST), lambda at: spoken(piece.time[at]))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log with such records, at the first."""
    for log in found(subject, _Early):
        wrong = log.wrong
        if wrong.count:
            yield RULE.at(wrong.place, count=wrong.count, file=log.track.log.file, at=wrong.value)
