"""The clock of the terminal is some minutes off.

What it checks
    That local time and the UTC of the GNSS receiver differ by whole quarters of an hour, as all time zones do, in logs
    that store both.
Why it matters
    The times do not fit those of other machines, of the weather station or of the office.
Example
    Bad: 07:22:41 local time at 05:15:00 UTC.
    Good: 07:15:00 local time at 05:15:00 UTC.
How to fix
    Set the clock of the terminal.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._tracks import tracks
from taskdata.findings import Finding, Rule, Severity, Tolerance

SECONDS = Tolerance("timelog.clock-off-utc.seconds", 90.0, "s", "Allowed difference")
RULE = Rule(
    id="timelog.clock-off-utc",
    severity=Severity.NOTE,
    message="The clock in {file} is {size} s off, compared with UTC from the GNSS receiver.",
    remedy="Set the clock of the terminal.",
    clause="8.6.3",
    tolerances=(SECONDS,),
)
QUARTER_S = 900.0


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such log, at its first record with both times."""
    for track in tracks(subject):
        ahead = track.time - track.utc if track.utc is not None else np.empty(0, dtype="timedelta64[ms]")
        known = np.flatnonzero(~np.isnat(ahead))
        if not len(known):
            continue
        seconds = ahead[known].astype("timedelta64[ms]").astype(np.float64) / 1000.0
        off = float(np.median(np.abs((seconds + QUARTER_S / 2.0) % QUARTER_S - QUARTER_S / 2.0)))
        if off > subject.profile[SECONDS]:
            yield RULE.at(track.place(int(known[0])), file=track.log.file, size=round(off))
