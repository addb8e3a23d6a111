"""A point lies at latitude 0, longitude 0.

What it checks
    That no point of a field, ring, line or guidance pattern lies within a few hundred metres of latitude 0, longitude
    0, which is open sea. Positions in time logs are reported by timelog.position-at-zero.
Why it matters
    Zeros are what a program writes when it has no position. A line to that place runs round half the Earth.
Example
    Bad: <PNT A="2" C="0" D="0"/>
    Good: the point with its position, or no point.
How to fix
    Delete the point, or give it its position.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks._course_sets import CourseSet, lines, rings
from taskdata.checks._courses import Mask
from taskdata.checks._ground import spot
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.geometry.arrays import Points

RULE = Rule(
    id="geometry.at-zero",
    severity=Severity.WARNING,
    message="{element} has points at latitude 0, longitude 0: {count}.",
    remedy="Delete them, or enter their positions.",
)
NEAR_DEGREES = 0.002


def is_zero(points: Points) -> Mask:
    """Tell which of (n, 2) points lie at latitude 0, longitude 0."""
    near = np.abs(points) < NEAR_DEGREES
    return np.asarray(near[:, 0] & near[:, 1])


def near_zero(whole: CourseSet) -> Mask:
    """Tell of which of n courses the extent allows that a point lies there."""
    west, south, east, north = whole.facts.extents.T
    reach = NEAR_DEGREES
    return np.asarray((west < reach) & (east > -reach) & (south < reach) & (north > -reach))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each ring, line or single point with such a position."""
    for whole in (rings(subject), lines(subject)):
        for _, courses in whole.suspects(near_zero(whole)):
            homes, counts = np.unique(courses.home[is_zero(courses.flat)], return_counts=True)
            for home, count in zip(homes.tolist(), counts.tolist(), strict=True):
                course = courses.found[home]
                yield RULE.at(spot(course.place, (0.0, 0.0)), element=course.element, count=count)
    for field in subject.dataset.fields:
        for point in field.points:
            if is_zero(np.array([[point.lon, point.lat]]))[0]:
                yield RULE.at(spot(point.place, (0.0, 0.0)), element=point.place.element or field.id, count=1)
