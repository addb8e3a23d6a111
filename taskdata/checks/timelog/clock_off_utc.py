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
from taskdata.checks.timelog._pieces import Piece
from taskdata.checks.timelog._watching import Tally, TrackWatch, found, watches
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
QUARTER_MS = 900_000


@watches
class _Ahead(TrackWatch):
    """How often the clock was off by each number of milliseconds, quarters of an hour left out."""

    def begin(self) -> None:
        self.wanted = self.track.has_utc
        self.known = Tally()
        self.off = np.zeros(QUARTER_MS // 2 + 1 if self.wanted else 0, np.int64)

    def see(self, piece: Piece) -> None:
        ahead = piece.time - piece.utc
        known = np.flatnonzero(~np.isnat(ahead))
        self.known.add(piece, known)
        if len(known):
            passed = ahead[known].astype("timedelta64[ms]").astype(np.int64)
            off = np.abs((passed + QUARTER_MS // 2) % QUARTER_MS - QUARTER_MS // 2)
            counts = np.bincount(off)
            self.off[: len(counts)] += counts

    @property
    def median_s(self) -> float:
        """Seconds that the clock was off."""
        ends, count = np.cumsum(self.off), self.known.count
        middle = np.searchsorted(ends, [(count - 1) // 2, count // 2], side="right")
        return float(middle.mean()) / 1000.0


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such log, at its first record with both times."""
    for log in found(subject, _Ahead):
        off = log.median_s if log.known.count else 0.0
        if off > subject.profile[SECONDS]:
            yield RULE.at(log.known.place, file=log.track.log.file, size=round(off))
