"""The parallels of a guidance line over a piece of ground (ISO 11783-10 D.30).

Metres in a local plane. Row 0 is the line itself; rows to the right have positive numbers, to the left negative ones.
Propagation (GPN.E) says on which sides there are rows, the numbers of swaths (GPN.N, GPN.O) how many, extension (GPN.F)
whether they go on straight past the first and the last point. Where the standard leaves a question open, this is how it
is answered here:

- A direction (A+) always goes on ahead of A; extension decides about what lies behind it.
- A pivot's rows are circles one spacing apart about its centre, row 0 at its radius. They are driven clockwise
  unless counter-clockwise is stated, so that a clockwise one has its inner rows on the right. With points A and B
  they are arcs from the ray through A to the ray through B, unless a full circle is stated; arcs are not extended.
- A spiral covers the ground by its own windings: it is neither repeated nor extended.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TypeAlias

import numpy as np
import shapely

from taskdata.amounts import plain
from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.fieldwork.field_ground import Ground
from taskdata.fieldwork.planning.row_ends import SHORTEST_M, Clip
from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import destination
from taskdata.geometry.offsets import extended, parallel
from taskdata.geometry.paths import distinct
from taskdata.geometry.plane import LocalPlane
from taskdata.model.fields import GuidanceKind, GuidanceLine

ANOTHER = "Choose another one with [[line]], or give [[line=best]]"
"""What to do about a line that nothing can be planned from."""

MOST_ROWS = 20_000
"""More rows on one side than this are taken for a slip in the width."""

TOLERANCE_M = 0.002
"""How far the corners of a drawn arc may lie from it, metres."""

EASED_M = 0.03
"""At most so much noise is taken out of a recorded curve before its parallels are laid."""

_IDLE_M = 1e-6

_BOTH, _LEFT, _RIGHT, _NONE = 1, 2, 3, 4
_BOTH_ENDS, _FIRST, _LAST = 1, 2, 3
_COUNTER_CLOCKWISE, _FULL_CIRCLE = 2, 3
_AHEAD_M = 1000.0

Row: TypeAlias = tuple[int, list[Points]]
"""Number of a row and its pieces, in the direction of the line."""


@dataclass(frozen=True, slots=True)
class _Circles:
    """The circle of a pivot: ``start`` and ``sweep`` in radians clockwise from north, negative counter-clockwise."""

    centre: Points
    radius: float
    start: float
    sweep: float


def rows_of(line: GuidanceLine, spacing: float, plane: LocalPlane, clip: Clip | None) -> list[Row]:
    """Return the rows of a guidance line.

    Parameters
    ----------
    line : GuidanceLine
        Its spacing is not used.
    spacing : float
        Metres from one row to the next.
    plane : LocalPlane
        Where the result lies.
    clip : Clip or None
        What rows are cut to; None = there are only as many rows as are stated, as long as the line.

    Returns
    -------
    list of (int, list of Points)
        By number, leftmost first; rows without a piece of `SHORTEST_M` are left out.

    Raises
    ------
    UsageError
        The line has too few points, no heading or no radius, or there would be too many rows.
    """
    if line.kind is GuidanceKind.PIVOT:
        circles = _circles(line, plane)
        span = _span(line, spacing, clip, circles.centre)
        rows = ((number, _arc(circles, number * spacing)) for number in span)
        return [found for found in (_kept(number, pieces, clip) for number, pieces in rows) if found[1]]
    course = _course(line, plane)
    if line.kind is GuidanceKind.SPIRAL:
        found = _kept(0, [course], clip)
        return [found] if found[1] else []
    reach = 0.0 if clip is None else _reach(course, clip)
    before = reach if line.extension in {None, _BOTH_ENDS, _FIRST} else 0.0
    after = reach if line.extension in {None, _BOTH_ENDS, _LAST} or line.kind is GuidanceKind.A_PLUS else 0.0
    whole = extended(course, before, after)
    laid = _parallels(whole, spacing, _span(line, spacing, clip, whole))
    return [found for found in (_kept(number, pieces, clip) for number, pieces in laid) if found[1]]


def row_zero(line: GuidanceLine, plane: LocalPlane) -> Points:
    """Return the line itself in a plane: a direction from A on, a pivot as its circle or arc.

    Raises
    ------
    UsageError
        The line has too few points, no heading or no radius.
    """
    if line.kind is not GuidanceKind.PIVOT:
        return _course(line, plane)
    found = _arc(_circles(line, plane), 0.0)
    if not found:
        raise UsageError("a pivot needs a radius", where=line.id, remedy=ANOTHER)
    return found[0]


def _course(line: GuidanceLine, plane: LocalPlane) -> Points:
    """Return the course of a line in the plane."""
    points = line.points
    if line.kind is GuidanceKind.A_PLUS:
        if not len(points) or line.heading_deg is None or not math.isfinite(line.heading_deg):
            raise UsageError("an A+ line needs a point A and a heading", where=line.id, remedy=ANOTHER)
        points = np.vstack([points[:1], destination(points[0], line.heading_deg, _AHEAD_M)])
    course = distinct(plane.forward(points))
    if len(course) < 2:
        raise UsageError("a guidance line needs two different points", where=line.id, remedy=ANOTHER)
    return course


def _circles(line: GuidanceLine, plane: LocalPlane) -> _Circles:
    points = plane.forward(line.points)
    if not len(points) or not np.isfinite(points).all():
        raise UsageError("a pivot needs a centre", where=line.id, remedy=ANOTHER)
    arms = points[1:] - points[0]
    radius = line.radius_m if line.radius_m is not None else (float(np.hypot(*arms[0])) if len(arms) else 0.0)
    if not radius > 0.0:
        raise UsageError("a pivot needs a radius or a point A", where=line.id, remedy=ANOTHER)
    sign = -1.0 if line.direction == _COUNTER_CLOCKWISE else 1.0
    start, sweep = 0.0, 2.0 * math.pi
    if len(arms):
        bearings = np.arctan2(arms[:, 0], arms[:, 1])
        start = float(bearings[0])
        if len(arms) > 1 and line.direction != _FULL_CIRCLE:
            sweep = float(sign * (bearings[1] - bearings[0]) % (2.0 * math.pi)) or 2.0 * math.pi
    return _Circles(points[:1], radius, start, sign * sweep)


def _arc(circles: _Circles, right: float) -> list[Points]:
    """Return the arc that lies ``right`` of the circle by some metres; none where that is past the centre."""
    radius = circles.radius - math.copysign(right, right * circles.sweep) if right else circles.radius
    if radius <= SHORTEST_M / 2.0:
        return []
    step = 2.0 * math.acos(max(0.0, 1.0 - TOLERANCE_M / radius))
    angles = circles.start + np.linspace(0.0, circles.sweep, max(8, math.ceil(abs(circles.sweep) / step)) + 1)
    points = circles.centre + radius * np.column_stack([np.sin(angles), np.cos(angles)])
    if abs(circles.sweep) >= 2.0 * math.pi - 1e-12:
        points[-1] = points[0]
    return [points]


def _span(line: GuidanceLine, spacing: float, clip: Clip | None, course: Points) -> range:
    """Return the numbers that rows may have, leftmost first."""
    sides = line.propagation or _BOTH
    far = 0.0 if clip is None else _farthest(course, clip.ground) + clip.beyond_m
    if line.kind is GuidanceKind.PIVOT:
        far += line.radius_m or (0.0 if len(line.points) < 2 else _AHEAD_M)
    needed = math.floor(far / spacing + 1e-9)
    left, right = (
        (0 if stated is None else stated) if clip is None else (needed if stated is None else min(stated, needed))
        for stated in (line.swaths_left, line.swaths_right)
    )
    left, right = (left if sides in {_BOTH, _LEFT} else 0), (right if sides in {_BOTH, _RIGHT} else 0)
    if max(left, right) > MOST_ROWS:
        raise UsageError(
            f"a spacing of {plain(spacing)} m would make {max(left, right)} rows",
            remedy="Check the width of the implement",
        )
    return range(-left, right + 1)


def _parallels(course: Points, spacing: float, numbers: range) -> Iterator[Row]:
    """Yield the parallels of a course by number; where one side bends so tightly that nothing is left, no more there.

    Noise of a recorded curve below a two-hundredth of the spacing, at most `EASED_M`, is left out of its parallels; the
    directions of its ends stay.
    """
    eased = course
    if len(course) > 4:
        inner = shapely.simplify(shapely.linestrings(course[1:-1]), min(EASED_M, spacing / 200.0))
        eased = np.vstack([course[:1], shapely.get_coordinates(inner), course[-1:]])
    left = [number for number in reversed(numbers) if number < 0]
    right = [number for number in numbers if number > 0]
    sides = {0: [course]}
    for side in (left, right):
        for number in side:
            sides[number] = _parallel(eased, number * spacing)
            if not sides[number]:
                break
    yield from sorted(sides.items())


def _parallel(course: Points, distance: float) -> list[Points]:
    """Return the parallel of a course without points that its straight parts do not need."""
    if len(course) == 2:
        ahead = course[1] - course[0]
        return [course + distance * np.array([ahead[1], -ahead[0]]) / float(np.hypot(*ahead))]
    lines = shapely.simplify([shapely.linestrings(piece) for piece in parallel(course, distance)], _IDLE_M)
    return [np.asarray(shapely.get_coordinates(line)) for line in lines]


def _reach(course: Points, clip: Clip) -> float:
    """Return how far a course has to go on past its ends to cross the whole ground with its width."""
    line, box = shapely.linestrings(course), shapely.envelope(clip.ground)
    west, south, east, north = shapely.bounds(shapely.union(line, box))
    return float(np.hypot(east - west, north - south)) + clip.width_m


def _farthest(course: Points, ground: Ground) -> float:
    """Return the largest distance of a corner of the ground from a course, or from a single point."""
    shape = shapely.linestrings(course) if len(course) > 1 else shapely.points(course[0])
    return float(shapely.distance(shapely.points(shapely.get_coordinates(ground)), shape).max())


def _kept(number: int, pieces: list[Points], clip: Clip | None) -> Row:
    """Return a row cut to its ground."""
    if clip is not None:
        return number, [piece for line in pieces for piece in clip.pieces(line, number)]
    return number, [line for line in pieces if float(shapely.length(shapely.linestrings(line))) >= SHORTEST_M]
