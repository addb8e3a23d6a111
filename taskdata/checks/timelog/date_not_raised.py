"""The date of a log is not raised at midnight.

What it checks
    That the date goes up by a day where the times of a log pass midnight: from the last hour of a day to the first of
    the next, less than an hour later by the clock. Where later dates contradict that, timelog.time-runs-back reports
    it. Judged.
Why it matters
    The times run back by a day. Duration, order and speed of everything after midnight are wrong, and the work is
    booked on the wrong day.
Example
    Bad: a record of 23:59:58 on 18 April, followed by one of 00:00:00 on 18 April.
    Good: followed by one of 00:00:00 on 19 April.
How to fix
    Raise the date by a day from the record given on; cleaning the set with review does so.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._midnights import missing_days
from taskdata.checks.timelog._records import logs
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="timelog.date-not-raised",
    severity=Severity.WARNING,
    message="The times pass midnight at record {record}, but the date remains {at} (records: {count}).",
    remedy="Increase the date by a day from there on.",
    clause="8.6.3",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log whose date stays behind, at the first such record."""
    for log in logs(subject):
        time = log.time
        lacking = missing_days(time)
        late = np.flatnonzero(lacking > 0)
        if late.size:
            record = int(late[0])
            date = str(time[record].astype("datetime64[D]"))
            yield RULE.at(log.place(record), record=record, at=date, count=int(late.size))
