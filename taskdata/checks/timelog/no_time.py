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
from taskdata.checks.timelog._records import logs
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


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log without times, at the first such record."""
    for log in logs(subject):
        if not all(map(log.stores, FIELDS)) or not len(log.records):
            continue
        wrong, total = np.flatnonzero(np.isnat(log.time)), len(log.records)
        if len(wrong) == total or 100.0 * len(wrong) > subject.profile[SHARE] * total:
            severity = Severity.WARNING if len(wrong) == total else Severity.NOTE
            first = int(wrong[0])
            yield RULE.at(
                log.place(first), severity=severity, file=log.file, count=len(wrong), total=total, record=first
            )
