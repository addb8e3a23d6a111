"""An inner ring lies in another inner ring.

What it checks
    That no inner ring lies in another inner ring of the same polygon, nor equals it. Judged: the standard only
    forbids that they cross.
Why it matters
    Some programs take the second ring for an island that belongs to the field, some subtract its area twice.
Example
    Bad: a mast (inner ring) in a pond (inner ring) of one polygon.
    Good: the pond alone; or an island as a polygon of its own.
How to fix
    Remove the ring inside. Make an island that is worked a separate polygon.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from taskdata.checks.geometry._holes import Fault, holes
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="geometry.hole-in-hole",
    severity=Severity.WARNING,
    message="An inner ring of {element} lies in another inner ring of the same polygon.",
    remedy="Remove the ring inside; make an island that is worked a separate polygon.",
    clause="D.39",
    covers=("R-174",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each inner ring in another one."""
    for hole in holes(subject, Fault.INSIDE_INNER):
        place = replace(subject.place(hole.ring.element), location=hole.location)
        yield RULE.at(place, element=place.element or hole.ring.element.tag)
