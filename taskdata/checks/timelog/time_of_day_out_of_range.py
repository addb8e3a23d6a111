"""A time of day in a log is longer than a day.

What it checks
    That the stored times of day lie within a day, a leap second at most beyond it, unless they are marked as not
    available.
Why it matters
    The date of these records comes out days too late. Many of them mean that header and binary file do not belong
    together.
Example
    Bad: 2147483647 ms since midnight, which are 24 days.
    Good: 29700000 ms, which is 8:15.
How to fix
    Copy both files of the log again. If the fault remains, ask the manufacturer of the terminal, and do not rely on the
    times.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._pieces import StoredPiece
from taskdata.checks.timelog._watching import StoredWatch, Tally, found, watches
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.timelog.log import DAY_MS

RULE = Rule(
    id="timelog.time-of-day-out-of-range",
    severity=Severity.WARNING,
    message="{file} has a time of day beyond 24 hours in {where}; the first is {value} ms since midnight.",
    remedy="Copy both files of the log again; if the fault remains, do not rely on the times.",
    clause="8.6.3",
)
FIELD = "TimeStartTimeOfDay"
LEAP_SECOND_MS = 1000


@watches
class _Times(StoredWatch):
    """Times of day beyond 24 hours."""

    def begin(self) -> None:
        self.wanted = self.stored.stores(FIELD)
        self.wrong = Tally()

    def see(self, piece: StoredPiece) -> None:
        column, missing = piece.records.column(FIELD), piece.records.layout.field(FIELD).missing
        wrong = np.flatnonzero(column > DAY_MS + LEAP_SECOND_MS)
        self.wrong.add(piece, wrong[column[wrong] != missing], lambda at: int(column[at]))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log with such times, at the first."""
    for log in found(subject, _Times):
        if log.wrong.count:
            yield RULE.at(log.wrong.place, file=log.stored.file, where=log.wrong.where, value=log.wrong.value)
