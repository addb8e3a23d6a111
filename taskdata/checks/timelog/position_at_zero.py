"""Positions of a log lie at latitude 0, longitude 0.

What it checks
    That no stored position of a time log lies within a few hundred metres of latitude 0, longitude 0, which is open
    sea.
Why it matters
    Zeros are written where there was no position. A reader that takes them as places draws the machine's track round
    half the Earth, and counts distance and area there.
Example
    Bad: latitude 0, longitude 0 in the first records, until the receiver had its position.
    Good: the mark for not available in them (7FFFFFFF).
How to fix
    Leave these positions out of maps and sums; taskdata does.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._pieces import Piece
from taskdata.checks.timelog._watching import Tally, TrackWatch, found, watches
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="timelog.position-at-zero",
    severity=Severity.WARNING,
    message="{count} of {total} positions of {file} are at latitude 0, longitude 0, the first in record {record}.",
    remedy="Leave them out of maps and sums.",
)


@watches
class _AtZero(TrackWatch):
    """Positions at 0/0, and how many there are in all."""

    def begin(self) -> None:
        self.total = 0
        self.wrong = Tally()

    def see(self, piece: Piece) -> None:
        self.total += piece.spots + len(piece.at_zero)
        self.wrong.add(piece, piece.at_zero)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log with such positions, at the first."""
    for log in found(subject, _AtZero):
        wrong = log.wrong
        if wrong.count:
            file, count = log.track.log.file, wrong.count
            yield RULE.at(wrong.place, count=count, total=log.total, file=file, record=wrong.first)
