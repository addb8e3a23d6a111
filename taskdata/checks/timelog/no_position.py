"""Records of a log have no position.

What it checks
    That the positions of a time log are there: not marked as not available (FFFFFFFF), and not the largest number
    (7FFFFFFF, which common practice takes for the same). A log without any is a warning, one with many a note.
Why it matters
    What was worked meanwhile appears in no map and in no area. Nobody can tell it from ground that was missed.
Example
    Bad: 600 of 600 records with latitude and longitude FFFFFFFF.
    Good: a few such records at the start, until the receiver had its position.
How to fix
    Check the GNSS receiver, antenna and cable before the next job. Draw what was worked by hand.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._records import Log, logs
from taskdata.findings import Fact, Finding, Rule, Severity, Tolerance
from taskdata.isoxml.timelog.log import NO_POSITION

SHARE = Tolerance("timelog.no-position.share", 10.0, "%", "Allowed share of records without a position")
RULE = Rule(
    id="timelog.no-position",
    severity=Severity.NOTE,
    message="{count} of {total} records of {file} have no position ({what}); the first is record {record}.",
    remedy="Check the GNSS receiver, antenna and cable before the next job; draw what was worked by hand.",
    clause="8.6.3",
    tolerances=(SHARE,),
)
FIELDS = ("PositionNorth", "PositionEast")


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log without positions, at the first such record."""
    for log in logs(subject):
        if not any(map(log.stores, FIELDS)) or not len(log.records):
            continue
        wrong = np.flatnonzero(np.isnan(log.latitude) | np.isnan(log.longitude))
        total = len(log.records)
        if len(wrong) == total or 100.0 * len(wrong) > subject.profile[SHARE] * total:
            severity = Severity.WARNING if len(wrong) == total else Severity.NOTE
            first = int(wrong[0])
            facts: dict[str, Fact] = {"count": len(wrong), "total": total, "what": _what(log), "record": first}
            yield RULE.at(log.place(first), severity=severity, file=log.file, **facts)


def _what(log: Log) -> str:
    """Return how the records say it."""
    stored = [log.records.column(name) for name in FIELDS if log.stores(name)]
    largest = np.zeros(len(log.records), dtype=np.bool_)
    for column in stored:
        largest |= column == NO_POSITION
    count = int(np.count_nonzero(largest))
    return f"{count} of them hold the largest number" if count else "marked as not available"
