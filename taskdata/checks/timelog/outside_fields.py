"""A log lies outside all fields.

What it checks
    That positions of a time log lie in a field of the set, or close by. Of long logs twenty thousand positions, evenly
    spread, are looked at. Most of a log on the road is a note; a log that never comes to any field is a warning.
Why it matters
    The work is booked on a field where nothing was done, or the field where it was done is not in the set.
Example
    Bad: a log of "Kuhle" whose positions all lie 3 km from Kuhle and from every other field.
    Good: a log that begins at the yard and goes on in the field.
How to fix
    Find the field where the work was done, add it to the set, or correct the task.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.checks._field_shapes import FieldShape, field_shape_of, field_shapes
from taskdata.checks._ground import spot
from taskdata.checks.subject import Subject
from taskdata.checks.timelog._pieces import Piece
from taskdata.checks.timelog._watching import TrackWatch, found, watches
from taskdata.findings import Finding, Place, Rule, Severity, Tolerance
from taskdata.geometry.arrays import Points

DISTANCE = Tolerance("timelog.outside-fields.distance", 50.0, "m", "Distance up to which a field is close by")
SHARE = Tolerance("timelog.outside-fields.share", 50.0, "%", "Share of positions on the road from which it is a note")
RULE = Rule(
    id="timelog.outside-fields",
    severity=Severity.NOTE,
    message="{share} % of the positions of {file} are outside all fields of the set.",
    remedy="Find the field that was worked; add it to the set, or correct the task.",
    tolerances=(DISTANCE, SHARE),
)
MOST_POSITIONS = 40_000
ALL = 99.9


@watches
class _Sample(TrackWatch):
    """Positions of a log, every one or every second, fourth, eighth ..., so that they are not too many.

    ``points`` (n, 2) are degrees, ``stands`` (n, 2) record numbers and offsets in the file, -1 where there is none.
    """

    def begin(self) -> None:
        self.wanted = bool(field_shapes(self.subject))
        self.points: Points = np.zeros((0, 2))
        self.stands = np.zeros((0, 2), np.int64)
        self.seen, self.step = 0, 1
        self.place_of: Callable[[int, int | None], Place] = lambda record, offset: Place()

    def see(self, piece: Piece) -> None:
        self.place_of = piece.make_place
        chosen = np.arange(-self.seen % self.step, piece.spots, self.step)
        self.seen += piece.spots
        records = chosen if piece.kept is None else piece.kept[chosen]
        offsets = piece.offsets(records)
        self.points = np.concatenate([self.points, np.column_stack([piece.lon[records], piece.lat[records]])])
        self.stands = np.concatenate([self.stands, np.column_stack([piece.first + records, offsets])])
        while len(self.points) > MOST_POSITIONS:
            self.points, self.stands, self.step = self.points[::2], self.stands[::2], 2 * self.step


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such log, at its first position outside."""
    for log in found(subject, _Sample):
        if not len(log.points):
            continue
        own = field_shape_of(subject, log.track.task.field)
        outside = _outside(subject, own, log.points, subject.profile[DISTANCE])
        share = 100.0 * float(outside.mean())
        if share > subject.profile[SHARE]:
            record, offset = log.stands[int(np.argmax(outside))]
            where = spot(log.place_of(int(record), None if offset < 0 else int(offset)), log.points[outside][0])
            severity = Severity.WARNING if share >= ALL else Severity.NOTE
            yield RULE.at(where, severity=severity, share=round(share, 1), file=log.track.log.file)


def _outside(subject: Subject, own: FieldShape | None, points: Points, distance: float) -> NDArray[np.bool_]:
    """Tell which points lie in or by no field; the field of the task is tried first, as it mostly decides."""
    left = np.arange(len(points))
    if own is not None:
        left = left[~_inside(own, points, distance)]
    for plot in field_shapes(subject):
        if not len(left):
            break
        near = plot.is_near(points[left], distance)
        if near.any():
            candidates = left[near]
            left = np.setdiff1d(left, candidates[_inside(plot, points[candidates], distance)], assume_unique=True)
    outside = np.zeros(len(points), dtype=np.bool_)
    outside[left] = True
    return outside


def _inside(plot: FieldShape, points: Points, distance: float) -> NDArray[np.bool_]:
    around = shapely.buffer(plot.ground, distance)
    shapely.prepare(around)
    return np.asarray(shapely.contains_xy(around, *plot.plane.forward(points).T))
