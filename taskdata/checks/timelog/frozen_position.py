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
from dataclasses import field

import numpy as np
from numpy.typing import NDArray

from taskdata.checks._ground import steps
from taskdata.checks.subject import Subject
from taskdata.checks.timelog._pieces import Piece
from taskdata.checks.timelog._watching import TrackWatch, found, watches
from taskdata.dataclass import dataclass
from taskdata.findings import Finding, Place, Rule, Severity, Tolerance
from taskdata.geometry.arrays import median

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


@dataclass
class _Still:
    """A stretch without any change: where its first record stands, its milliseconds, the speeds logged in it.

    ``speeds`` are raw, by the position of their quantity.
    """

    place: Place
    passed_ms: int = 0
    speeds: dict[int, list[NDArray[np.int32]]] = field(default_factory=dict)

    @property
    def speed(self) -> float:
        """The median of the speeds in m/s, 0 where none was logged; of several quantities the first that was."""
        found = [np.concatenate(pieces) for pieces in self.speeds.values() if any(map(len, pieces))]
        return float(median(np.abs(found[0].astype(np.float64)))) / MILLI if found else 0.0


@watches
class _Stills(TrackWatch):
    """Place, seconds, speed in m/s, and the step in metres that followed, of each stretch that is long enough."""

    def begin(self) -> None:
        quantities = enumerate(self.track.log.quantities)
        self.positions = [position for position, item in quantities if item.ddi == ACTUAL_SPEED]
        self.stretches: list[tuple[Place, float, float, float]] = []
        self.open: _Still | None = None
        self.tail: tuple[Piece, int] | None = None
        self.between: dict[int, list[NDArray[np.int32]]] = {position: [] for position in self.positions}

    def see(self, piece: Piece) -> None:
        east, north = piece.degrees
        same = (east == 0.0) & (north == 0.0)
        if self.open is not None or same.any():
            was_open = self.open is not None and len(same) > 0
            edges = np.flatnonzero(np.diff(np.concatenate([[was_open], same, [False]]).astype(np.int8))).tolist()
            edges = [0, *edges] if was_open else edges
            for first, last in zip(edges[::2], edges[1::2], strict=True):
                self._extend(piece, first, last)
                if last < len(same):
                    self._close(_step(piece, last))
        self._remember(piece)

    def _extend(self, piece: Piece, first: int, last: int) -> None:
        """Take in the way from one position of a piece to another; the one before the piece has the number 0."""
        begins = self.open is None
        low, high = (_record(piece, number) for number in (first, last))
        if self.open is None:
            place = piece.place(low) if self.tail is None or low >= 0 else self.tail[0].place(self.tail[1])
            self.open = _Still(place, speeds={position: [] for position in self.positions})
        if first == last:
            return
        passed = np.diff(piece.way_points[2][first : last + 1])
        self.open.passed_ms += int(np.maximum(passed[~np.isnat(passed)].astype(np.int64), 0).sum())
        for position, speeds in self.open.speeds.items():
            if low < 0 and self.tail is not None:
                before, at = self.tail
                speeds += [_values(before, position, at if begins else at + 1), *self.between[position]]
            speeds.append(_values(piece, position, low, high))

    def _close(self, jump: float) -> None:
        """Keep the stretch that ends, where it is long enough."""
        found, self.open = self.open, None
        if found is not None and found.passed_ms / 1000.0 >= self.subject.profile[SECONDS]:
            self.stretches.append((found.place, found.passed_ms / 1000.0, found.speed, jump))

    def _remember(self, piece: Piece) -> None:
        """Remember the last position, and what was logged behind it."""
        if piece.spots:
            self.tail = piece, piece.record_of(piece.spots - 1)
            self.between = {position: [] for position in self.positions}
        elif self.tail is not None:
            for position in self.positions:
                self.between[position].append(_values(piece, position, 0))

    def all(self) -> list[tuple[Place, float, float, float]]:
        """Return all stretches, that at the end of the log among them."""
        self._close(0.0)
        return self.stretches


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such stretch, at its first record."""
    for log in found(subject, _Stills):
        for place, size, speed, jump in log.all():
            if speed > subject.profile[SPEED]:
                what = f"at {speed:.1f} m/s by its speed"
            elif jump > subject.profile[JUMP]:
                what = f"it went on {jump:.0f} m away"
            else:
                continue
            file, record = log.track.log.file, place.record or 0
            yield RULE.at(place, file=file, size=round(size), record=record, what=what)


def _values(piece: Piece, position: int, low: int, high: int | None = None) -> NDArray[np.int32]:
    """Return the values of a quantity from one record of a piece to another."""
    records, values = piece.series(position)
    end = len(records) if high is None else int(np.searchsorted(records, high, side="right"))
    return np.array(values[int(np.searchsorted(records, low)) : end])


def _record(piece: Piece, number: int) -> int:
    """Return the record of a position on the way, -1 for the one before the piece."""
    return piece.record_of(number - piece.joined) if number >= piece.joined else -1


def _step(piece: Piece, number: int) -> float:
    """Return the metres from a position to the next."""
    lon, lat, _ = piece.way_points
    here, there = (np.column_stack([lon[at : at + 1], lat[at : at + 1]]) for at in (number, number + 1))
    return float(np.hypot(*steps(here, there).T)[0])
