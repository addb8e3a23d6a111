"""One point of a ring lies far from all the others.

What it checks
    That no point of a ring is much farther from both of its neighbours than the rest of the ring is wide. Points at
    latitude and longitude 0 are reported by geometry.at-zero.
Why it matters
    The ring reaches across the country to one wrong point. Its area is nonsense, and a terminal that zooms to the
    field shows nothing.
Example
    Bad: five corners within 400 m, and a sixth 60 km away: 54.8 instead of 54.3.
    Good: six corners within 400 m.
How to fix
    Correct the point, or delete it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks._course_sets import BROADLY, rings
from taskdata.checks._courses import Courses
from taskdata.checks._ground import spot
from taskdata.checks.geometry.at_zero import is_zero
from taskdata.checks.profile import Profile
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.geometry.paths import lengths

DISTANCE = Tolerance("geometry.stray-point.distance", 1000.0, "m", "Shortest distance to both neighbours that is far")
TIMES = Tolerance("geometry.stray-point.times", 5.0, "", "How many times the extent of the other points")
RULE = Rule(
    id="geometry.stray-point",
    severity=Severity.WARNING,
    message="A point of a ring of {element} is {size} m from the others, which are within {limit} m of each other.",
    remedy="Correct the point, or delete it.",
    tolerances=(DISTANCE, TIMES),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such point."""
    whole = rings(subject)
    for _, some in whole.suspects(whole.facts.longest * BROADLY >= subject.profile[DISTANCE]):
        for index, way, width in stray(some, subject.profile):
            ring = some.found[some.home[index]]
            place = spot(ring.place, some.flat[index])
            yield RULE.at(place, element=ring.element, size=round(way), limit=round(width))


def stray(whole: Courses, profile: Profile) -> Iterator[tuple[int, float, float]]:
    """Yield such points of rings: index, metres to the nearer neighbour, metres across the rest of the ring."""
    ways = np.minimum(whole.lengths, whole.lengths[whole.before])
    far = (ways >= profile[DISTANCE]) & (whole.sizes[whole.home] > 3) & ~is_zero(whole.flat)
    for index in np.flatnonzero(far).tolist():
        width = _width_of_others(whole, index)
        if ways[index] >= profile[TIMES] * width:
            yield index, float(ways[index]), width


def _width_of_others(whole: Courses, index: int) -> float:
    """Return the diagonal of the extent of a ring without one of its points, and without those at 0/0."""
    start = int(whole.starts[whole.home[index]])
    size = int(whole.sizes[whole.home[index]])
    metres = np.roll(whole.steps[start : start + size], start - index, axis=0)[1:-1]
    zero = np.roll(is_zero(whole.flat[start : start + size]), start - index)[1:]
    places = np.vstack([[[0.0, 0.0]], np.cumsum(metres, axis=0)])[~zero]
    return float(lengths(np.ptp(places, axis=0, keepdims=True))[0]) if len(places) else 0.0
