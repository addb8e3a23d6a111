"""The position stands still while the machine drives.

What it checks
    That a position which stays equal to the last digit for a while belongs to a machine that stands: that no speed is
    logged meanwhile, and that the machine does not come out of it with a jump.
Why it matters
    Reception was lost, and the terminal went on writing its last position. What was worked in that time is missing in
    every map, and booked on one spot.
Example
    Bad: 90 s at one position with a logged speed of 2.5 m/s.
    Good: 90 s at one position with a speed of 0, at the filling station.
How to fix
    Draw that pass by hand, or compute it from its times and the working width.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._tracks import Track, tracks
from taskdata.findings import Finding, Rule, Severity, Tolerance

SECONDS = Tolerance("timelog.frozen-position.seconds", 30.0, "s", "Shortest time at one position that is checked")
SPEED = Tolerance("timelog.frozen-position.speed", 0.5, "m/s", "Logged speed from which a machine is driving")
JUMP = Tolerance("timelog.frozen-position.jump", 20.0, "m", "Step afterwards that shows that it was driving")
RULE = Rule(
    id="timelog.frozen-position",
    severity=Severity.WARNING,
    message=(
        "{file} stays at one position for {size} s from record {record} on, although the machine was driving: {what}."
    ),
    remedy="Draw that pass by hand, or compute it from its times and the working width.",
    tolerances=(SECONDS, SPEED, JUMP),
)
ACTUAL_SPEED = 397
MILLI = 1000.0


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such stretch, at its first record."""
    for track in tracks(subject):
        for first, last, size in _still(track, subject.profile[SECONDS]):
            speed = _speed(track, first, last)
            jump = float(track.way[last]) if last < len(track.way) else 0.0
            if speed > subject.profile[SPEED]:
                what = f"at {speed:.1f} m/s by its speed"
            elif jump > subject.profile[JUMP]:
                what = f"it went on {jump:.0f} m away"
            else:
                continue
            record = int(track.kept[first])
            where = track.place(record)
            yield RULE.at(where, file=track.log.file, size=round(size), record=record, what=what)


def _still(track: Track, least: float) -> Iterator[tuple[int, int, float]]:
    """Yield first and last position (among those kept) of each stretch without any change, and its seconds."""
    alike = track.points[1:] == track.points[:-1]
    same: NDArray[np.bool_] = alike[:, 0] & alike[:, 1]
    edges = np.flatnonzero(np.diff(np.concatenate([[False], same, [False]]).astype(np.int8)))
    passed = np.concatenate([[0.0], np.nancumsum(np.maximum(track.seconds, 0.0))])
    for first, last in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        size = float(passed[last] - passed[first])
        if size >= least:
            yield first, last, size


def _speed(track: Track, first: int, last: int) -> float:
    """Return the median of the speeds logged between two positions in m/s, 0 where none is."""
    low, high = track.kept[first], track.kept[last]
    for records, values in track.values(ACTUAL_SPEED):
        here = values[np.searchsorted(records, low) : np.searchsorted(records, high, side="right")]
        if len(here):
            return float(np.median(np.abs(here.astype(np.float64)))) / MILLI
    return 0.0
