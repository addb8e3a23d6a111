"""Positions of a time log lie nowhere on Earth.

What it checks
    That the stored latitudes lie between -90 and 90 degrees and the longitudes between -180 and 180, unless they are
    marked not available. All records of a log with this fault are reported together. Partly judged.
Why it matters
    The records appear in no map. Many of them mean that header and binary file do not belong together; then no column
    of the log is right.
Example
    Bad: a latitude of 123.4 degrees.
    Good: the mark for not available (FFFFFFFF) where the receiver had no position.
How to fix
    Copy both files of the log again. If the fault remains, leave the records out.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._records import extent, logs
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="timelog.position-out-of-range",
    severity=Severity.WARNING,
    message="{file} has a {name} that is not on Earth in {where}; the first is {value} degrees.",
    remedy="Copy both files of the log again; if the fault remains, leave the records out.",
    clause="8.6.3",
    covers=("R-202",),
)
LATITUDE, LONGITUDE = ("latitude", "PositionNorth", 90.0), ("longitude", "PositionEast", 180.0)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log out of range; a constant of the header is left to the schema."""
    for log in logs(subject):
        for (name, field, limit), degrees in ((LATITUDE, log.latitude), (LONGITUDE, log.longitude)):
            wrong = np.flatnonzero(np.abs(degrees) > limit)
            if len(wrong) and log.stores(field):
                first = int(wrong[0])
                where, value = extent(len(wrong), first, int(wrong[-1])), float(degrees[first])
                yield RULE.at(log.place(first), file=log.file, name=name, where=where, value=value)
