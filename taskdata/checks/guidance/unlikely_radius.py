"""A pivot has a radius that no irrigation machine has.

What it checks
    That the radius of a guidance circle (GPN type pivot) is more than nothing, and no more than that of the longest
    centre pivots. The bound is common practice: most are 400 m long, few reach 1 km.
Why it matters
    A circle of no radius is a place, and one of many kilometres is a straight line beside the field. Most likely the
    unit was mistaken: the radius is in millimetres.
Example
    Bad: H="0"; H="400000000", which says 400 km.
    Good: H="400000" for 400 m.
How to fix
    Enter the radius in millimetres, or give A and B on the circle.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.model.fields import GuidanceKind

LEAST = Tolerance("guidance.unlikely-radius.least", 1.0, "m", "Smallest radius of a circle")
MOST = Tolerance("guidance.unlikely-radius.most", 2000.0, "m", "Largest radius of a circle")
RULE = Rule(
    id="guidance.unlikely-radius",
    severity=Severity.WARNING,
    message="The circle {element} has a radius of {size} m; centre pivots have {limit} m.",
    remedy="Enter the radius in millimetres, or give A and B on the circle.",
    clause="D.30",
    tolerances=(LEAST, MOST),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such circle."""
    least, most = subject.profile[LEAST], subject.profile[MOST]
    for field in subject.dataset.fields:
        for line in field.guidance:
            size = line.radius_m
            if line.kind is GuidanceKind.PIVOT and size is not None and not least <= size <= most:
                limit = f"{least:g} to {most:g}"
                yield RULE.at(line.place, element=line.id or field.id, size=round(size, 3), limit=limit)
