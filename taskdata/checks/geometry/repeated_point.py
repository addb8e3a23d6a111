"""A ring or line has the same point twice in a row.

What it checks
    That no two consecutive points are equal, apart from the last point of a ring, which repeats the first.
Why it matters
    Nothing is wrong on the ground, but a step of no length has no direction: some receivers refuse the line, or draw
    it with a kink.
Example
    Bad: 54.3 7.0, 54.3 7.0, 54.301 7.0
    Good: 54.3 7.0, 54.301 7.0
How to fix
    Keep only one of the repeated points.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks._course_sets import lines, rings
from taskdata.checks._courses import Courses, Mask
from taskdata.checks._ground import spot
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="geometry.repeated-point",
    severity=Severity.NOTE,
    message="{element} has points that repeat the previous one: {count}.",
    remedy="Keep only one of the repeated points.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each ring or line, at the first point that is repeated."""
    for whole in (rings(subject), lines(subject)):
        for _, courses in whole.suspects(whole.facts.shortest == 0.0):
            equal = courses.flat == courses.flat[courses.following]
            yield from _each(courses, equal.all(axis=1) & ~courses.is_end)


def _each(courses: Courses, wanted: Mask) -> Iterator[Finding]:
    """Yield one finding for each course of at least three different points with a point that is wanted."""
    counts = np.bincount(courses.home[wanted], minlength=len(courses.found))
    index = np.flatnonzero(wanted)
    homes, first = np.unique(courses.home[index], return_index=True)
    for home, at in zip(homes.tolist(), index[first].tolist(), strict=True):
        course = courses.found[home]
        if courses.sizes[home] - counts[home] >= (3 if course.is_ring else 2):
            yield RULE.at(spot(course.place, courses.flat[at]), element=course.element, count=int(counts[home]))
