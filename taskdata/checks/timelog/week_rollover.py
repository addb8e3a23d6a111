"""A log is dated 1024 weeks too early.

What it checks
    Whether a log begins 1024 weeks (7168 days) before the worked time of its task, or before the UTC date of the GNSS
    receiver; or, with nothing to compare, before 2009, when task data had no final standard yet (from memory), though
    1024 weeks later would not be in the future.
Why it matters
    GPS counts weeks with ten bits: after 1024 weeks the count begins again. GNSS receivers that do not know in which
    round they are give a date 19 years and 7 months too early.
Example
    Bad: a log of 2004-09-02 in a task that was worked on 2024-04-18.
    Good: a log of 2024-04-18.
How to fix
    Update the software of the GNSS receiver. Add 7168 days to the dates.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._clocks import DAY, GPS_WEEKS, FirstTime, spans, spoken
from taskdata.checks.timelog._watching import found
from taskdata.checks.timelog.clock_not_set import EARLIEST
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="timelog.week-rollover",
    severity=Severity.WARNING,
    message="{file} begins {at}; 1024 weeks later, {other}, is more likely.",
    remedy="Update the software of the GNSS receiver, and add 7168 days to the dates.",
    clause="IS-GPS-200",
)
STANDARD = np.datetime64("2009-01-01", "ms")


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such log, at its first record with a time."""
    for log in found(subject, FirstTime):
        if log.time is not None and log.time >= EARLIEST and has_rolled(log, log.time):
            at, other = spoken(log.time), spoken(log.time + GPS_WEEKS)
            yield RULE.at(log.place, file=log.track.log.file, at=at, other=other)


def has_rolled(first: FirstTime, time: np.datetime64) -> bool:
    """Tell whether a log begins 1024 weeks, and at most a day more or less, before what it is compared with."""
    stamps = [span.start for span in spans(first.track.task)]
    if not np.isnat(first.utc):
        stamps.append(first.utc)
    if stamps:
        return any(abs(stamp - time - GPS_WEEKS) <= DAY for stamp in stamps)
    return bool(time < STANDARD and time + GPS_WEEKS <= np.datetime64(datetime.now(UTC).replace(tzinfo=None), "ms"))
