"""The kind of position fix in a time log is none that is defined.

What it checks
    That the status of a position is 0 to 8, 14 or 15, or marked not available. The numbers 9 to 13 are reserved, higher
    ones do not exist. Records that follow each other and have the same fault are reported together. Partly judged.
Why it matters
    Whether the position can be trusted to a hand or to a few metres cannot be told. Many such records mean that header
    and binary file do not belong together.
Example
    Bad: status 11.
    Good: status 4, a fixed integer solution.
How to fix
    Copy both files of the log again. If it stays, ask the maker of the receiver what the number means.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._records import is_stored, logs, place, stretches
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.to_model.logs import NO_STATUS, STATUS

RULE = Rule(
    id="timelog.reserved-status",
    severity=Severity.WARNING,
    message="Record {record} and those after it ({count} in all) have an undefined position status; the first is {value}.",
    remedy="Copy both files of the log again; if it stays, ask the maker of the receiver what the number means.",
    clause="8.6.3",
    covers=("R-202",),
)
RESERVED, HIGHEST = "Reserved", 15


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each stretch of records, or for the constant in the header that holds for all."""
    defined = np.zeros(NO_STATUS + 1, dtype=bool)
    defined[NO_STATUS] = True
    for code in elements()["PTN"].attributes[letter("PTN", STATUS)].values:
        if code.name != RESERVED:
            defined[code.low : code.high + 1] = True
    for task, log, records in logs(subject):
        header = subject.header(log.file)
        if records.status is None or header is None:
            continue
        stored = is_stored(subject, log, STATUS)
        for record, count in stretches(~defined[records.status]):
            value = int(records.status[record])
            if stored:
                yield RULE.at(place(subject, task, log, record), count=count, record=record, value=value)
            elif value <= HIGHEST:  # the schema reports a higher one
                spot = Place(file=header.name, line=header.root.line or None, element=task.id or None)
                yield RULE.at(spot, count=count, record=record, value=value)
