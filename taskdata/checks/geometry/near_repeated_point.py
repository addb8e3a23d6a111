"""Points of a ring or line lie so close together that they say nothing.

What it checks
    That consecutive points lie apart by more than the noise of a GNSS receiver. Equal points are reported by
    geometry.repeated-point. The way from the last to the first point of a ring that is not closed does not count.
Why it matters
    A machine that stands while it records writes point after point on one spot. They make the set large, and since
    each of the short steps goes in any direction, headings and curves worked out from them jump.
Example
    Bad: 300 points within 3 cm at the gate where the recording began.
    Good: one point there.
How to fix
    Simplify the line before you send it to a machine.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks._course_sets import BROADLY, lines, rings
from taskdata.checks._courses import Courses
from taskdata.checks._ground import spot
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance

DISTANCE = Tolerance("geometry.near-repeated-point.distance", 0.02, "m", "Smallest step that carries information")
RULE = Rule(
    id="geometry.near-repeated-point",
    severity=Severity.NOTE,
    message="{element} has points within {limit} m of the previous one: {count}.",
    remedy="Simplify the line before you send it to a machine.",
    tolerances=(DISTANCE,),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each ring or line, at the first such point."""
    limit = subject.profile[DISTANCE]
    for whole in (rings(subject), lines(subject)):
        for _, courses in whole.suspects(whole.facts.shortest < BROADLY * limit):
            yield from _near(courses, limit)


def _near(courses: Courses, limit: float) -> Iterator[Finding]:
    different = (courses.flat != courses.flat[courses.following]).any(axis=1)
    near = different & (courses.lengths < limit) & ~courses.is_joint
    index = np.flatnonzero(near)
    homes, first, counts = np.unique(courses.home[index], return_index=True, return_counts=True)
    for home, at, count in zip(homes.tolist(), index[first].tolist(), counts.tolist(), strict=True):
        course = courses.found[home]
        yield RULE.at(spot(course.place, courses.flat[at]), element=course.element, count=count, limit=limit)
