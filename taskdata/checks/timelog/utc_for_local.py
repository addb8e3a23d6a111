"""A log counts in UTC instead of local time.

What it checks
    Whether a log begins outside every worked time of its task, but within one if its clock is read as UTC. The stamps
    of the task have to tell their zone.
Why it matters
    The standard requires local time in the records. The log seems to be of other hours, and around midnight of another
    day.
Example
    Bad: a task worked from 06:50 to 08:27 (+02:00) with a log that begins 04:50:10.
    Good: a log that begins 06:50:10.
How to fix
    Correct the clock or the time zone of the terminal; add the hours to the times of the log.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._clocks import FirstTime, Span, spans, spoken
from taskdata.checks.timelog._watching import found
from taskdata.findings import Finding, Rule, Severity, Tolerance

MINUTES = Tolerance("timelog.utc-for-local.minutes", 10.0, "min", "Time by which a log may begin outside a worked time")
RULE = Rule(
    id="timelog.utc-for-local",
    severity=Severity.WARNING,
    message="{file} begins {at}, outside the worked time of {task}; read as UTC it would be inside, at {other}.",
    remedy="Correct the clock or the time zone of the terminal; add the hours to the times of the log.",
    clause="8.6.3",
    tolerances=(MINUTES,),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such log, at its first record with a time."""
    allowed = np.timedelta64(round(subject.profile[MINUTES] * 60.0), "s")
    for log in found(subject, FirstTime):
        task, first, worked = log.track.task, log.time, list(spans(log.track.task))
        if first is None or any(_within(span, first, allowed) for span in worked):
            continue
        for span in worked:
            local = None if span.ahead is None else first + np.timedelta64(span.ahead)
            if local is not None and _within(span, local, allowed):
                times = {"at": spoken(first), "other": spoken(local)}
                yield RULE.at(log.place, severity=None, file=log.track.log.file, task=task.id, **times)
                break


def _within(span: Span, time: np.datetime64, allowed: np.timedelta64) -> bool:
    return bool(span.start - allowed <= time <= span.stop + allowed)
