"""A ring crosses or touches itself.

What it checks
    That no ring crosses itself, touches itself or runs back along itself. Judged: the standard takes it for granted;
    OGC 06-103r4 asks a ring to be simple. Edges are straight in longitude and latitude; GEOS decides.
Why it matters
    What lies inside such a ring is a matter of the program: area, prescribed amount and the place where sections shut
    differ from one to the next. A machine may spray outside the field or leave parts of it out.
Example
    Bad: corners in the order south-west, north-east, south-east, north-west.
    Good: south-west, south-east, north-east, north-west.
How to fix
    Draw the ring again at the place given. A loop often stems from a turn or a drift of position during the survey.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from taskdata.checks.geometry._rings import rings
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="geometry.self-crossing",
    severity=Severity.WARNING,
    message="A ring of {element} {what} itself.",
    remedy="Draw the ring again at this point; until then its area and interior are uncertain.",
    clause="D.39",
    covers=("R-174",),
)
TOUCHING = "Ring Self-intersection"


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each ring whose shape is not valid, at the first place where it is not."""
    found = rings(subject)
    for index in found.on_earth(~found.valid & (found.distinct > 2)).tolist():
        ring = found[index]
        fault, spot = found.fault(index)
        place = replace(subject.place(ring.element), location=spot)
        what = "touches or crosses" if fault == TOUCHING else "crosses"
        yield RULE.at(place, element=place.element or ring.element.tag, what=what)
