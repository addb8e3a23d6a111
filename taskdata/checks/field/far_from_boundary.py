"""Something lies far from the field that it belongs to.

What it checks
    That the areas, lines and points of a field lie near its boundary or inside. Lanes, hedges, ditches and accesses lie
    beside fields, so that the allowance is generous. Obstacles, headlands and guidance have rules of their own; home
    bases, stores and flags may be anywhere. Points that are reported as points.other-fields are not checked.
Why it matters
    It belongs to another field, or its coordinates are wrong. In this field it is missing then.
Example
    Bad: a pond 20 km from its field.
    Good: a pond in the field, a lane along its edge.
How to fix
    Move it to the field that it lies in, or correct its coordinates.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks._field_shapes import field_shapes
from taskdata.checks._ground import on_earth, spot
from taskdata.checks.geometry.at_zero import is_zero
from taskdata.checks.points import other_fields
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Place, Rule, Severity, Tolerance
from taskdata.geometry.arrays import Points
from taskdata.model.fields import Field
from taskdata.model.shapes import AreaKind, LineKind, PointKind

DISTANCE = Tolerance("field.far-from-boundary.distance", 500.0, "m", "Allowed distance from the boundary")
RULE = Rule(
    id="field.far-from-boundary",
    severity=Severity.WARNING,
    message="{what} of {element} lies {size} m from its boundary.",
    remedy="Move it to the field that it lies in, or correct its coordinates.",
    clause="D.33, D.38, D.39",
    tolerances=(DISTANCE,),
)
OTHER_AREAS = (AreaKind.OBSTACLE, AreaKind.HEADLAND, AreaKind.MAIN_FIELD)
OTHER_LINES = (LineKind.OBSTACLE, LineKind.GUIDANCE)
STEERING = (PointKind.GUIDANCE_A, PointKind.GUIDANCE_B, PointKind.GUIDANCE_CENTRE, PointKind.GUIDANCE_POINT)
OTHER_POINTS = (PointKind.OBSTACLE, PointKind.HOME_BASE, PointKind.STORAGE, PointKind.FLAG, *STEERING)
"""What has a rule of its own, or may lie anywhere."""


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such area, line or point, at its first point."""
    limit = subject.profile[DISTANCE]
    misread: set[tuple[str | None, int | None]] | None = None
    for plot in field_shapes(subject).having("areas", "lines", "points"):
        for what, points, place in _parts(plot.field):
            if not len(points) or plot.is_near(points[:1], limit / 2.0)[0]:
                continue
            if on_earth(points).all() and not is_zero(points).any():
                size = plot.distance(points)
                if size <= limit:
                    continue
                if misread is None:
                    misread = {(item.place.file, item.place.line) for item in other_fields.check(subject)}
                if (place.file, place.line) not in misread:
                    yield RULE.at(spot(place, points[0]), what=what, element=plot.field.id, size=round(size))


def _parts(field: Field) -> Iterator[tuple[str, Points, Place]]:
    """Yield what it is called, points (n, 2) and place of what belongs to a field."""
    for area in field.areas:
        if area.kind not in OTHER_AREAS and area.exteriors:
            yield f"An area ({_spoken(area.kind)})", area.exteriors[0], area.place
    for line in field.lines:
        if line.kind not in OTHER_LINES:
            yield f"A line ({_spoken(line.kind)})", line.points, line.place
    for point in field.points:
        if point.kind not in OTHER_POINTS:
            yield f"A point ({_spoken(point.kind)})", np.array([[point.lon, point.lat]]), point.place


def _spoken(kind: AreaKind | LineKind | PointKind) -> str:
    return kind.name.lower().replace("_", " ")
