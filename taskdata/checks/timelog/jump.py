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
from numpy.typing import NDArray

from taskdata.checks._ground import steps
from taskdata.checks.subject import Subject
from taskdata.checks.timelog._pieces import Moments, Numbers, Piece
from taskdata.checks.timelog._watching import Tally, TrackWatch, found, watches
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.geometry.arrays import Floats

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
MOST_EAST, MOST_NORTH = 111_320.0, 111_700.0
"""More metres than a degree of longitude, or of latitude, has anywhere: no step is longer than these say."""


@watches
class _Jumps(TrackWatch):
    """Steps that no machine does, with the length of the first."""

    def begin(self) -> None:
        self.limit, self.length = self.subject.profile[SPEED], self.subject.profile[LENGTH]
        self.jumps = Tally()

    def see(self, piece: Piece) -> None:
        east, north = piece.degrees
        most = np.abs(east) * MOST_EAST + np.abs(north) * MOST_NORTH
        at = np.flatnonzero(most > self.length)
        if not len(at):
            return
        lon, lat, time = piece.way_points
        at = at[_too_fast(most[at], _seconds(time, at), self.limit)]
        if not len(at):
            return
        before, after = (np.column_stack([lon[ends], lat[ends]]) for ends in (at, at + 1))
        way = np.hypot(*steps(before, after).T)
        fast = _too_fast(way, _seconds(time, at), self.limit) & (way > self.length)
        spots, lengths = at[fast] + 1 - piece.joined, way[fast]
        records = spots if piece.kept is None else piece.kept[spots]
        self.jumps.add(piece, records, lambda _: round(float(lengths[0])))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log with jumps, at the record after the first."""
    for log in found(subject, _Jumps):
        jumps = log.jumps
        if jumps.count:
            facts = {"count": jumps.count, "limit": log.limit, "record": jumps.first, "length": jumps.value}
            yield RULE.at(jumps.place, file=log.track.log.file, **facts)


def _seconds(time: Moments, at: Numbers) -> Floats:
    """Return the seconds of steps by their numbers; NaN where a time is not known."""
    passed = time[at + 1] - time[at]
    seconds = passed.astype("timedelta64[ms]").astype(np.float64) / 1000.0
    seconds[np.isnat(passed)] = np.nan
    return np.asarray(seconds)


def _too_fast(way: Floats, seconds: Floats, limit: float) -> NDArray[np.bool_]:
    """Tell which steps are faster than a limit in km/h, as far as their times tell."""
    usable = np.where(seconds > 0.0, seconds, SHORTEST_S)
    return np.asarray((way / usable * KMH > limit) & ~(seconds < 0.0))
