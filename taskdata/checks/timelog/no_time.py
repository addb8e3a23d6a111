"""Records of a log have no date or time.

What it checks
    That the dates and times of day of a time log are there: not marked as not available (FFFF and FFFFFFFF, which are
    also the largest numbers that they can hold). A log without any is a warning, one with many a note.
Why it matters
    Order, speed and duration are not known, and the work cannot be found by its date.
Example
    Bad: 600 of 600 records with the date FFFF.
    Good: a few such records at the start, until the clock was set.
How to fix
    Set the clock of the terminal, or let its GNSS receiver set it. Write date and hours into the task.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._pieces import StoredPiece
from taskdata.checks.timelog._watching import StoredWatch, Tally, found, watches
from taskdata.findings import Finding, Rule, Severity, Tolerance

SHARE = Tolerance("timelog.no-time.share", 10.0, "%", "Allowed share of records without a time")
RULE = Rule(
    id="timelog.no-time",
    severity=Severity.NOTE,
    message="{count} of {total} records of {file} have no date or time of day; the first is record {record}.",
    remedy="Set the clock of the terminal, and write date and hours into the task.",
    clause="8.6.3",
    tolerances=(SHARE,),
)
FIELDS = ("TimeStartDate", "TimeStartTimeOfDay")


@watches
class _Missing(StoredWatch):
    """Records without a time."""

    def begin(self) -> None:
        self.wanted = all(map(self.stored.stores, FIELDS))
        self.total = 0
        self.wrong = Tally()

    def see(self, piece: StoredPiece) -> None:
        self.total += len(piece.records)
        self.wrong.add(piece, np.flatnonzero(np.isnat(piece.time)))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log without times, at the first such record."""
    for log in found(subject, _Missing):
        count, total, first = log.wrong.count, log.total, log.wrong.first
        if count and (count == total or 100.0 * count > subject.profile[SHARE] * total):
            severity = Severity.WARNING if count == total else Severity.NOTE
            facts = {"count": count, "total": total, "record": first}
            yield RULE.at(log.wrong.place, severity=severity, file=log.stored.file, **facts)
