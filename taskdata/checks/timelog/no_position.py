"""Records of a log have no position.

What it checks
    That the positions of a time log are there: not marked as not available (FFFFFFFF), and not the largest number
    (7FFFFFFF, which common practice takes for the same). A log without any is a warning, one with many a note.
Why it matters
    What was worked meanwhile appears in no map and in no area. Nobody can tell it from ground that was missed.
Example
    Bad: 600 of 600 records with latitude and longitude FFFFFFFF.
    Good: a few such records at the start, until the receiver had its position.
How to fix
    Check the GNSS receiver, antenna and cable before the next job. Draw what was worked by hand.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._pieces import StoredPiece
from taskdata.checks.timelog._watching import StoredWatch, Tally, found, watches
from taskdata.findings import Fact, Finding, Rule, Severity, Tolerance
from taskdata.isoxml.timelog.log import NO_POSITION

SHARE = Tolerance("timelog.no-position.share", 10.0, "%", "Allowed share of records without a position")
RULE = Rule(
    id="timelog.no-position",
    severity=Severity.NOTE,
    message="{count} of {total} records of {file} have no position ({what}); the first is record {record}.",
    remedy="Check the GNSS receiver, antenna and cable before the next job; draw what was worked by hand.",
    clause="8.6.3",
    tolerances=(SHARE,),
)
FIELDS = ("PositionNorth", "PositionEast")


@watches
class _Missing(StoredWatch):
    """Records without a position."""

    def begin(self) -> None:
        self.fields = [name for name in FIELDS if self.stored.stores(name)]
        self.wanted = bool(self.fields)
        self.total = self.largest = 0
        self.wrong = Tally()

    def see(self, piece: StoredPiece) -> None:
        self.total += len(piece.records)
        if piece.kept is None:
            return
        wrong = np.flatnonzero(np.isnan(piece.lat) | np.isnan(piece.lon))
        if len(wrong):
            self.wrong.add(piece, wrong)
            stored = [piece.records.column(name)[wrong] == NO_POSITION for name in self.fields]
            self.largest += int(np.count_nonzero(np.any(stored, axis=0)))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log without positions, at the first such record."""
    for log in found(subject, _Missing):
        count, total = log.wrong.count, log.total
        if count and (count == total or 100.0 * count > subject.profile[SHARE] * total):
            severity = Severity.WARNING if count == total else Severity.NOTE
            what = f"{log.largest} of them hold the largest number" if log.largest else "marked as not available"
            facts: dict[str, Fact] = {"count": count, "total": total, "what": what, "record": log.wrong.first}
            yield RULE.at(log.wrong.place, severity=severity, file=log.stored.file, **facts)
