"""A total falls within a log.

What it checks
    That totals of a time log never become smaller from record to record: areas, amounts, distances, times and counts.
    Which DDIs are totals is mostly from memory.
Why it matters
    The counter was reset during the task, or the values are damaged. The last value is then less than what was done,
    and the difference of first and last is wrong.
Example
    Bad: 4.2 ha, then 0 ha in the next record.
    Good: 4.2 ha, then 4.2 ha or more.
How to fix
    Add up what was counted before and after the fall. Find out why the counter was reset.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._columns import series
from taskdata.checks.timelog._records import logs
from taskdata.findings import Fact, Finding, Rule, Severity
from taskdata.quantities.dictionary import entry
from taskdata.quantities.plausible import shown

RULE = Rule(
    id="timelog.falling-total",
    severity=Severity.WARNING,
    message="{name} of {target} in {file} falls {what} in record {record}, from {other} to {value}.",
    remedy="Add up the counts before and after the fall, and find out why the counter was reset.",
    clause="6.8.3",
)
TOTALS = {"total", "lifetime total"}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each total that falls, at the record of the first fall."""
    for log in logs(subject):
        for position, item in enumerate(log.records.layout.values):
            if item.ddi is None or entry(item.ddi).kind not in TOTALS:
                continue
            records, values = series(log, position)
            falls = np.flatnonzero(values[1:] < values[:-1])
            if len(falls):
                at = int(falls[0])
                record = int(records[at + 1])
                other, value = (shown(int(values[index]), item.ddi) for index in (at, at + 1))
                what = "once" if len(falls) == 1 else f"{len(falls)} times, first"
                facts: dict[str, Fact] = {
                    "target": item.element,
                    "record": record,
                    "other": other,
                    "value": value,
                    "what": what,
                }
                name = entry(item.ddi).plain_name
                yield RULE.at(log.place(record), severity=None, name=name, file=log.file, **facts)
