"""A guidance line never comes near its field.

What it checks
    That the points of a guidance line lie near the boundary of its field or inside; of a circle, that its rim does.
    Lines that a field shares with its neighbours are taken into account by a generous allowance.
Why it matters
    The line is offered in this field, yet was made for another one or has wrong coordinates. Extended to this field, a
    small error of its direction has become metres.
Example
    Bad: an A-B line 5 km from the field it is listed under.
    Good: A and B on two edges of the field.
How to fix
    Move the line to the field it was made for, or correct its points.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks._field_shapes import FieldShape, field_shapes
from taskdata.checks._ground import on_earth, spot
from taskdata.checks.geometry.at_zero import is_zero
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.model.fields import GuidanceKind, GuidanceLine

DISTANCE = Tolerance("guidance.far-from-field.distance", 1000.0, "m", "Allowed distance from the boundary")
RULE = Rule(
    id="guidance.far-from-field",
    severity=Severity.WARNING,
    message="The guidance line {element} is {size} m from the boundary of {target}.",
    remedy="Move it to its field, or correct its points; do not steer by it until then.",
    tolerances=(DISTANCE,),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such line, at its first point."""
    for plot in field_shapes(subject).having("groups", "lines"):
        for line in (*plot.field.guidance, *plot.field.line_guidance):
            if not len(line.points) or _begins_near(plot, line, subject.profile[DISTANCE] / 2.0):
                continue
            if on_earth(line.points).all() and not is_zero(line.points).any():
                size = _distance(plot, line)
                if size > subject.profile[DISTANCE]:
                    place = spot(line.place, line.points[0])
                    yield RULE.at(place, element=line.id or plot.field.id, target=plot.field.id, size=round(size))


def _distance(plot: FieldShape, line: GuidanceLine) -> float:
    if line.kind is GuidanceKind.PIVOT:
        return plot.distance(line.points[:1]) - (line.radius_m or 0.0)
    return plot.distance(line.points)


def _begins_near(plot: FieldShape, line: GuidanceLine, distance: float) -> bool:
    return bool(plot.is_near(line.points[:1], distance)[0])
