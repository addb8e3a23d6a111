"""The stated heading of a line is not the direction from A to B.

What it checks
    That an A-B line with a heading has that of its points: clockwise from true north at A, along the ellipsoid.
Why it matters
    One terminal steers by the points, another by the heading. On 500 m one degree is 9 m.
Example
    Bad: A in the south-west, B due east of it, and a heading of 0 (north), 270 (from B to A) or 88 (grid north).
    Good: a heading of 90, or none.
How to fix
    Leave the heading out: with A and B it is not needed. Headings of a map's grid differ from true north.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks._ground import on_earth, spot
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.geometry.geodesy import azimuth
from taskdata.model.fields import GuidanceKind

ANGLE = Tolerance("guidance.wrong-heading.angle", 0.5, "degrees", "Allowed difference")
RULE = Rule(
    id="guidance.wrong-heading",
    severity=Severity.WARNING,
    message="{element} states a heading of {stated} degrees; from A to B it is {found} degrees.",
    remedy="Leave the heading out, or correct it; do not steer by the line until then.",
    clause="D.30",
    tolerances=(ANGLE,),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such line, at A."""
    for field in subject.dataset.fields:
        for line in field.guidance:
            stated, points = line.heading_deg, line.points
            if line.kind is GuidanceKind.AB and stated is not None and len(points) > 1 and on_earth(points).all():
                found = azimuth(points[0], points[-1])
                if abs((stated - found + 180.0) % 360.0 - 180.0) > subject.profile[ANGLE]:
                    place = spot(line.place, points[0])
                    yield RULE.at(place, element=line.id or field.id, stated=round(stated, 4), found=round(found, 4))
