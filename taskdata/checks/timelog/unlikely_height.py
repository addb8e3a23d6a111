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
from taskdata.checks.timelog._pieces import StoredPiece
from taskdata.checks.timelog._watching import StoredWatch, Tally, found, watches
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


@watches
class _Heights(StoredWatch):
    """Heights that are impossible."""

    def begin(self) -> None:
        self.wanted = self.stored.stores(FIELD)
        self.low, self.high = -self.subject.profile[LOWEST], self.subject.profile[HIGHEST]
        self.wrong = Tally()

    def see(self, piece: StoredPiece) -> None:
        heights = piece.records.up_m()
        wrong = np.flatnonzero((heights < self.low) | (heights > self.high))
        self.wrong.add(piece, wrong, lambda at: float(heights[at]))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log with such heights, at the first."""
    for log in found(subject, _Heights):
        if log.wrong.count:
            yield RULE.at(log.wrong.place, file=log.stored.file, where=log.wrong.where, value=log.wrong.value)
