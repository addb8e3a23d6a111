"""An inner ring lies outside the outer ring.

What it checks
    That every inner ring lies in an outer ring of the same polygon, not beside or around it. Judged: the standard
    takes it for granted.
Why it matters
    A hole outside removes nothing. It often belongs to another field: there it is missing, and the machine does not
    stop at it. Programs that subtract its area state the field too small.
Example
    Bad: the inner ring of a pond that lies in the neighbouring field.
    Good: the inner ring stands in the polygon that surrounds it.
How to fix
    Move the ring to its polygon, or remove it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from taskdata.checks.geometry._holes import Fault, holes
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="geometry.hole-outside",
    severity=Severity.WARNING,
    message="An inner ring of {element} does not lie in the outer ring of its polygon.",
    remedy="Move the ring to the polygon that surrounds it, or remove it.",
    clause="D.39",
    covers=("R-174",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each inner ring outside."""
    for hole in holes(subject, Fault.OUTSIDE):
        place = replace(subject.place(hole.ring.element), location=hole.location)
        yield RULE.at(place, element=place.element or hole.ring.element.tag)
