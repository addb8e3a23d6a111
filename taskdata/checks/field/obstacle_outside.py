"""An obstacle lies outside its field.

What it checks
    That points, lines and polygons of the type obstacle come close to the boundary of their field. One that stands
    beside the field can matter to a wide boom, so the allowance is generous.
Why it matters
    Most likely its coordinates are wrong: then there is an obstacle in the field that the machine does not know of.
Example
    Bad: a mast 400 m beside its field.
    Good: a mast in the field, or within a boom's length of its edge.
How to fix
    Correct the position, or move the obstacle to the field that it is in. Never trust the map alone: look ahead.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from taskdata.checks._field_shapes import field_shapes
from taskdata.checks._ground import on_earth, spot
from taskdata.checks.geometry.at_zero import is_zero
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Place, Rule, Severity, Tolerance
from taskdata.geometry.arrays import as_points
from taskdata.model.fields import Field
from taskdata.model.shapes import AreaKind, LineKind, PointKind

DISTANCE = Tolerance("field.obstacle-outside.distance", 50.0, "m", "Allowed distance from the boundary")
RULE = Rule(
    id="field.obstacle-outside",
    severity=Severity.WARNING,
    message="An obstacle of {element} lies {size} m outside its boundary.",
    remedy="Correct its position, or move it to the field that it is in; watch out for it until then.",
    clause="D.33, D.38, D.39",
    tolerances=(DISTANCE,),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such obstacle, at its first point."""
    for plot in field_shapes(subject).having("areas", "lines", "points"):
        for points, place in _obstacles(plot.field):
            if on_earth(points).all() and not is_zero(points).any():
                size = plot.distance(points)
                if size > subject.profile[DISTANCE]:
                    yield RULE.at(spot(place, points[0]), element=plot.field.id, size=round(size))


def _obstacles(field: Field) -> Iterator[tuple[Any, Place]]:
    """Yield points (n, 2) and place of every obstacle of a field."""
    for point in field.points:
        if point.kind is PointKind.OBSTACLE:
            yield as_points((point.lon, point.lat)), point.place
    for line in field.lines:
        if line.kind is LineKind.OBSTACLE:
            yield line.points, line.place
    for area in field.areas:
        if area.kind is AreaKind.OBSTACLE:
            yield area.exteriors[0], area.place
