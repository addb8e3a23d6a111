"""The machine jumps: it would have had to drive faster than machines do.

What it checks
    That the speed between consecutive positions of a time log, by their distance and their times, is one that
    machines drive. Times that do not advance count as one second; times that run back are told by timelog.time-
    runs-back.
Why it matters
    Jumps come from a GNSS receiver that lost its correction, from wrong times, or from records of two places in one
    file. Distance, area and speed are wrong there.
Example
    Bad: 2.3 km within one second.
    Good: 3 m within one second.
How to fix
    Look at the spot on a map. Leave single stray positions out, cut the log where two places follow each other.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._tracks import tracks
from taskdata.findings import Finding, Rule, Severity, Tolerance

SPEED = Tolerance("timelog.jump.speed", 100.0, "km/h", "Highest speed of machines")
LENGTH = Tolerance("timelog.jump.length", 5.0, "m", "Shortest step that is checked")
RULE = Rule(
    id="timelog.jump",
    severity=Severity.WARNING,
    message="Steps in {file} faster than {limit} km/h: {count}. The first, to record {record}, is {length} m.",
    remedy="Look at the spot on a map; leave stray positions out, or cut the log there.",
    tolerances=(SPEED, LENGTH),
)
KMH = 3.6
SHORTEST_S = 1.0


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log with jumps, at the record after the first."""
    limit = subject.profile[SPEED]
    for track in tracks(subject):
        seconds = np.where(track.seconds > 0.0, track.seconds, SHORTEST_S)
        fast = (track.way / seconds * KMH > limit) & (track.way > subject.profile[LENGTH]) & ~(track.seconds < 0.0)
        jumps = np.flatnonzero(fast)
        if len(jumps):
            record = int(track.kept[jumps[0] + 1])
            where, length = track.place(record), round(float(track.way[jumps[0]]))
            yield RULE.at(where, file=track.log.file, count=len(jumps), limit=limit, record=record, length=length)
