"""A log is dated outside the times of its task.

What it checks
    That the records of a time log lie within the worked times (TIM) of their task, or within a day of them, which no
    zone is beyond. Logs that another rule on clocks explains are left to it. Judged.
Why it matters
    Either the log belongs to another task, or one of two clocks is wrong; the work is booked on the wrong day.
Example
    Bad: a task worked on 18 April with a log of 3 May.
    Good: a log of 18 April.
How to fix
    Find out which of the two is right. Move the log to its task, or correct the times.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._clocks import DAY, first_time, spans, spoken
from taskdata.checks.timelog._tracks import Track, tracks
from taskdata.checks.timelog.clock_not_set import EARLIEST
from taskdata.checks.timelog.week_rollover import has_rolled
from taskdata.findings import Fact, Finding, Rule, Severity, Tolerance

HOURS = Tolerance("timelog.off-task.hours", 24.0, "h", "Allowed time between a log and the times of its task")
RULE = Rule(
    id="timelog.off-task",
    severity=Severity.WARNING,
    message=(
        "{count} of {total} records of {file} are dated outside the worked times of {task} ({what}), the first {at}."
    ),
    remedy="Find out which of the two is right; move the log to its task, or correct the times.",
    clause="D.48, 8.6.3",
    tolerances=(HOURS,),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such log, at its first record off the times."""
    allowed = np.timedelta64(round(subject.profile[HOURS] * 3600), "s")
    for track in tracks(subject):
        worked, first = list(spans(track)), first_time(track)
        if first is None or not worked or _explained(track, *first):
            continue
        start, stop = min(span.start for span in worked), max(span.stop for span in worked)
        off = np.flatnonzero((track.time < start - allowed) | (track.time > stop + allowed))
        if len(off):
            record = int(off[0])
            where, at = track.place(record), spoken(track.time[record])
            facts: dict[str, Fact] = {
                "count": len(off),
                "total": len(track.time),
                "what": f"{spoken(start)} to {spoken(stop)}",
            }
            yield RULE.at(where, severity=None, file=track.log.file, task=track.task.id, at=at, **facts)


def _explained(track: Track, record: int, time: np.datetime64) -> bool:
    """Tell whether the clock of a log is so wrong that another rule says it."""
    now = np.datetime64(datetime.now(UTC).replace(tzinfo=None), "ms")
    return bool(time < EARLIEST or time > now + DAY or has_rolled(track, record, time))
