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
from functools import partial

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._pieces import StoredPiece
from taskdata.checks.timelog._watching import StoredWatch, Tally, found, watches
from taskdata.findings import Finding, Rule, Severity
from taskdata.geometry.arrays import Floats

RULE = Rule(
    id="timelog.position-out-of-range",
    severity=Severity.WARNING,
    message="{file} has a {name} that is not on Earth in {where}; the first is {value} degrees.",
    remedy="Copy both files of the log again; if the fault remains, leave the records out.",
    clause="8.6.3",
    covers=("R-202",),
)
LATITUDE, LONGITUDE = ("latitude", "PositionNorth", 90.0), ("longitude", "PositionEast", 180.0)


@watches
class _Positions(StoredWatch):
    """Positions that are not on Earth."""

    def begin(self) -> None:
        self.fields = [item for item in (LATITUDE, LONGITUDE) if self.stored.stores(item[1])]
        self.wanted = bool(self.fields)
        self.wrong = {name: Tally() for name, _, _ in self.fields}

    def see(self, piece: StoredPiece) -> None:
        for name, field, limit in self.fields if piece.kept is not None else ():
            degrees = piece.lat if field == LATITUDE[1] else piece.lon
            wrong = np.flatnonzero(np.abs(degrees) > limit)
            self.wrong[name].add(piece, wrong, partial(_number, degrees))


def _number(degrees: Floats, record: int) -> float:
    return float(degrees[record])


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log out of range; a constant of the header is left to the schema."""
    for log in found(subject, _Positions):
        for name, wrong in log.wrong.items():
            if wrong.count:
                yield RULE.at(wrong.place, file=log.stored.file, name=name, where=wrong.where, value=wrong.value)
