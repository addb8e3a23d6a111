"""A ring runs out to a point and straight back.

What it checks
    That no corner of a ring is so sharp that the ring goes out and comes back beside itself. Points closer together
    than 0.1 m count as one corner. Rings that cross or touch themselves are reported by geometry.self-crossing, points
    far away geometry.stray-point's.
Why it matters
    A spike is usually one wrong point, or a turn that was recorded with the boundary. Headlands and sections are worked
    out along the boundary: the machine switches, or turns, where there is nothing.
Example
    Bad: a boundary that leaves its corner, runs 40 m into the neighbour's field and comes back on the same way.
    Good: the boundary without that point.
How to fix
    Delete the point. If the field really ends in such a wedge, leave it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from taskdata.checks._course_sets import BROADLY, CourseSet, rings
from taskdata.checks._courses import Courses, Mask
from taskdata.checks._ground import spot
from taskdata.checks.geometry.at_zero import is_zero, near_zero
from taskdata.checks.geometry.stray_point import DISTANCE, stray
from taskdata.checks.profile import Profile
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.geometry.course_facts import FOLD_DEGREES

ANGLE = Tolerance("geometry.spike.angle", 5.0, "degrees", "Angle from which a corner is not a spike")
LENGTH = Tolerance("geometry.spike.length", 2.0, "m", "Shortest distance out and back that is a spike")
RULE = Rule(
    id="geometry.spike",
    severity=Severity.WARNING,
    message="A ring of {element} runs {size} m out and back at a corner of {value} degrees.",
    remedy="Look at the spot, and delete the point unless the field really has such a wedge.",
    tolerances=(ANGLE, LENGTH),
)
ONE_CORNER_M = 0.1


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each spike."""
    whole = rings(subject)
    for numbers, some in whole.suspects(_may_be_sharp(whole, subject.profile)):
        dropped = (some.lengths[some.before] < ONE_CORNER_M) | is_zero(some.flat)
        dropped[[index for index, _, _ in stray(some, subject.profile)]] = True
        yield from _spikes(some.without(dropped), whole.soundness.is_valid[numbers], subject.profile)


def _may_be_sharp(whole: CourseSet, profile: Profile) -> Mask:
    """Tell which of n rings may have a spike: a corner is sharp, or may be where a point is left out."""
    facts = whole.facts
    short = facts.shortest < BROADLY * ONE_CORNER_M
    far = BROADLY * facts.longest >= profile[DISTANCE]
    wide = profile[ANGLE] > FOLD_DEGREES / BROADLY
    return np.asarray(facts.folds | short | far | near_zero(whole) | wide)


def _spikes(corners: Courses, is_valid: Mask, profile: Profile) -> Iterator[Finding]:
    back, ahead = -corners.steps[corners.before], corners.steps
    sizes = np.minimum(corners.lengths[corners.before], corners.lengths)
    cross = back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0]
    angles = np.degrees(np.abs(np.arctan2(cross, (back * ahead).sum(axis=1))))
    sharp = (angles < profile[ANGLE]) & (sizes >= profile[LENGTH])
    sharp &= is_valid[corners.home] & (corners.sizes[corners.home] > 3)
    for index in np.flatnonzero(sharp).tolist():
        ring = corners.found[corners.home[index]]
        facts: dict[str, Any] = {"size": round(float(sizes[index]), 1), "value": round(float(angles[index]), 1)}
        yield RULE.at(spot(ring.place, corners.flat[index]), element=ring.element, **facts)
