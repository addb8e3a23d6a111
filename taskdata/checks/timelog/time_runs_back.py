"""The times of a log run backwards.

What it checks
    That no record begins more than an hour before the record it follows. An hour is let pass, as clocks are set back
    at the end of summer time. A date that is not raised at midnight is told by timelog.date-not-raised. Judged.
Why it matters
    Order, duration and speed cannot be computed across that place. Often two logs were written into one file, or the
    clock lost its date.
Example
    Bad: a record of 10:15:00 followed by one of 8:59:59 on the same day.
    Good: times that rise.
How to fix
    Find out which clock is wrong. Cut the log at the record given before figures are taken from it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._midnights import DAY, missing_days
from taskdata.checks.timelog._records import MOST_STRETCHES, logs
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="timelog.time-runs-back",
    severity=Severity.WARNING,
    message="Record {record} begins at {at}, but an earlier record began at {other}.",
    remedy="Find out which clock is wrong; cut the log there before figures are taken from it.",
    clause="8.6.3",
    covers=("R-201",),
)
ALLOWED = np.timedelta64(1, "h")


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each record that begins long before the one it follows, at most a thousand a log."""
    for log in logs(subject):
        time = log.records.time()
        time = time + missing_days(time) * DAY
        known = np.flatnonzero(~np.isnat(time))
        time = time[known]
        for at in np.flatnonzero(time[:-1] - time[1:] > ALLOWED)[:MOST_STRETCHES].tolist():
            record = int(known[at + 1])
            moments = {"at": _spoken(time[at + 1]), "other": _spoken(time[at])}
            yield RULE.at(log.place(record), severity=None, record=record, **moments)


def _spoken(moment: np.datetime64) -> str:
    return str(moment.astype("datetime64[s]")).replace("T", " ")
