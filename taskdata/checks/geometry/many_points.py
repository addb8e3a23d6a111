"""A ring has more points than machines cope with.

What it checks
    That a ring has no more points than machines cope with. The limit is judged: the standard sets none.
Why it matters
    Terminals work out headlands and section control from the boundary many times a second. With tens of thousands of
    points they become slow, cut the boundary off, or refuse the field.
Example
    Bad: a boundary of 25,000 points, recorded at ten points a second while driving round.
    Good: the same boundary simplified to 2 cm, with 300 points.
How to fix
    Simplify the boundary before it is sent to a machine.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks._course_sets import rings
from taskdata.checks._ground import spot
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance

POINTS = Tolerance("geometry.many-points.points", 20_000, "", "Number of points from which there are too many")
RULE = Rule(
    id="geometry.many-points",
    severity=Severity.WARNING,
    message="A ring of {element} has {count} points.",
    remedy="Simplify it before you send it to a machine.",
    tolerances=(POINTS,),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such ring, at its first point."""
    whole = rings(subject)
    for number in np.flatnonzero(whole.facts.sizes >= subject.profile[POINTS]).tolist():
        ring = whole.course(number)
        yield RULE.at(spot(ring.place, ring.points[0]), element=ring.element, count=len(ring.points))
