"""A record of a time log stores a value twice.

What it checks
    That a record stores each value (DLV of the header) at most once. Records that follow each other and have the same
    fault are reported together.
Why it matters
    Which of the two was measured cannot be told; totals and maps take one or the other.
Example
    Bad: a record with two values for position 0.
    Good: one value for each position.
How to fix
    Ask the maker of the terminal. Until then distrust this quantity in these records.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._records import logs, place, stretches
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.tasks import LogRecords

RULE = Rule(
    id="timelog.repeated-value",
    severity=Severity.WARNING,
    message="Record {record} and those after it ({count} in all) store a value more than once.",
    remedy="Ask the maker of the terminal; until then distrust this quantity in these records.",
    clause="6.8.4",
    covers=("R-199",),
)
POSITIONS = 256


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each stretch of records with a value twice."""
    for task, log, records in logs(subject):
        for record, count in stretches(_repeating(records)):
            yield RULE.at(place(subject, task, log, record), count=count, record=record)


def _repeating(records: LogRecords) -> NDArray[np.bool_]:
    """Return which records have a value twice, (records,) bool; only records out of order are sorted."""
    record, index = records.value_record, records.value_index
    found = np.zeros(len(records.time), dtype=bool)
    suspect = np.zeros(len(records.time), dtype=bool)
    suspect[record[1:][(record[1:] == record[:-1]) & (index[1:] <= index[:-1])]] = True
    if suspect.any():
        chosen = suspect[record]
        keys = np.sort(record[chosen] * POSITIONS + index[chosen])
        found[keys[1:][keys[1:] == keys[:-1]] // POSITIONS] = True
    return found
