"""All points of a guidance line lie at one place.

What it checks
    That A and B of a line, and the points of a curve or spiral, are not all at one place. What lies within a
    centimetre, the step of a position in a binary file, is one place.
Why it matters
    The line has no direction. A terminal refuses it, or steers north or wherever rounding points.
Example
    Bad: A and B with the same latitude and longitude, set by pressing the key twice.
    Good: A and B at both ends of the field.
How to fix
    Set A and B again, as far apart as the field allows. Do not steer by the line.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks._ground import on_earth, spot, steps
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.fields import GuidanceKind

RULE = Rule(
    id="guidance.no-length",
    severity=Severity.ERROR,
    message="All {count} points of the guidance line {element} are at the same position, so it has no direction.",
    remedy="Set A and B again, as far apart as the field allows; do not steer by the line until then.",
    clause="D.30",
)
KINDS = {GuidanceKind.AB, GuidanceKind.CURVE, GuidanceKind.SPIRAL}
ONE_PLACE_M = 0.01


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such line, at its place."""
    for field in subject.dataset.fields:
        for line in (*field.guidance, *field.line_guidance):
            points = line.points
            if line.kind not in KINDS or len(points) < 2 or not on_earth(points).all():
                continue
            apart = np.hypot(*steps(np.broadcast_to(points[0], points.shape), points).T)
            if apart.max() < ONE_PLACE_M:
                yield RULE.at(spot(line.place, points[0]), element=line.id or field.id, count=len(points))
