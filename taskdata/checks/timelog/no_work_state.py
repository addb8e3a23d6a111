"""A log does not tell when the machine worked.

What it checks
    That a time log with a minute's worth of positions or more holds a work state: the actual one (DDI 141) or a
    condensed one of sections (161 to 176). The numbers are from memory.
Why it matters
    Driving and working look the same. Area and amount can only be estimated, headland turns and road count as work.
Example
    Bad: a log of positions and speeds only.
    Good: a log with DDI 141 or 161.
How to fix
    Log the work state: it belongs to the default set of the machine (DPD.C bit 1).
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._pieces import Piece
from taskdata.checks.timelog._watching import TrackWatch, found, watches
from taskdata.findings import Finding, Rule, Severity, Tolerance

POSITIONS = Tolerance("timelog.no-work-state.positions", 60, "", "Fewest positions of a log that is checked")
RULE = Rule(
    id="timelog.no-work-state",
    severity=Severity.NOTE,
    message="{file} holds positions but no work state.",
    remedy="Log the work state of the machine.",
    clause="F.3.4",
    tolerances=(POSITIONS,),
)
WORK_STATES = {141, *range(161, 177)}


@watches
class _Positions(TrackWatch):
    """How many positions a log without a work state has."""

    def begin(self) -> None:
        self.wanted = not WORK_STATES & {quantity.ddi for quantity in self.track.log.quantities}
        self.count = 0

    def see(self, piece: Piece) -> None:
        self.count += piece.spots


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such log."""
    for log in found(subject, _Positions):
        if log.wanted and log.count >= subject.profile[POSITIONS]:
            yield RULE.at(log.track.log.place, file=log.track.log.file)
