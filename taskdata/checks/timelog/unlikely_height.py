"""Heights of a log are those of no field.

What it checks
    That stored heights above the ellipsoid lie between 500 m below and 6000 m above it, unless they are marked as not
    available. Common practice: the shores of the Dead Sea lie 430 m below the sea, and the highest fields below 5000 m.
Why it matters
    Usually the unit is another one than millimetres, or header and binary file do not belong together; then no column
    of the log is right.
Example
    Bad: 41200000 mm, which are 41 km.
    Good: 41200 mm.
How to fix
    Copy both files of the log again. If the fault remains, do not use the heights.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._records import extent, logs
from taskdata.findings import Finding, Rule, Severity, Tolerance

LOWEST = Tolerance("timelog.unlikely-height.depth", 500.0, "m", "Allowed depth below the ellipsoid")
HIGHEST = Tolerance("timelog.unlikely-height.height", 6000.0, "m", "Allowed height above the ellipsoid")
RULE = Rule(
    id="timelog.unlikely-height",
    severity=Severity.WARNING,
    message="{file} has impossible heights in {where}; the first is {value} m.",
    remedy="Copy both files of the log again; if the fault remains, do not use the heights.",
    clause="8.6.3",
    tolerances=(LOWEST, HIGHEST),
)
FIELD = "PositionUp"


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log with such heights, at the first."""
    for log in logs(subject):
        if log.stores(FIELD):
            heights = log.records.up_m()
            low, high = -subject.profile[LOWEST], subject.profile[HIGHEST]
            wrong = np.flatnonzero((heights < low) | (heights > high))
            if len(wrong):
                first = int(wrong[0])
                where = extent(len(wrong), first, int(wrong[-1]))
                yield RULE.at(log.place(first), file=log.file, where=where, value=float(heights[first]))
