"""Points of a line or ring have coordinates that are no place on Earth.

What it checks
    That every point (PNT) has a latitude from -90 to 90 and a longitude from -180 to 180 degrees. All such points of a
    line are reported together. Those in binary point files are reported by points.out-of-range.
Why it matters
    The shape has no certain area or course, and no machine must be steered by it. Usually a decimal point moved,
    columns were mixed up, or coordinates are in metres.
Example
    Bad: <PNT A="2" C="543.21" D="7.01"/>
    Good: <PNT A="2" C="54.321" D="7.01"/>
How to fix
    Give the points their positions, or remove the shape.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from taskdata.checks.geometry._rings import rings
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.geometry.arrays import Points
from taskdata.isoxml.tree.element import POINT, Element

RULE = Rule(
    id="geometry.off-earth",
    severity=Severity.ERROR,
    message=(
        "{element} has points that are not on Earth: {count} of {total}, the first at latitude {value}, longitude "
        "{other}."
    ),
    remedy="Enter their positions, or remove the shape; do not steer by it.",
    clause="D.38",
)
LIMITS = np.array([180.0, 90.0])


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each line, ring or single point with such points."""
    whole = rings(subject)
    for index in whole.off_earth.tolist():
        yield from _found(subject, whole[index].element)
    for string in subject.tagged("LSG"):
        if string.parent is None or string.parent.tag != "PLN":
            yield from _found(subject, string)
    for point in subject.tagged(POINT):
        if point.parent is not None and point.parent.tag != "LSG":
            yield from _found(subject, point)


def _found(subject: Subject, element: Element) -> Iterator[Finding]:
    points = element.own_coordinates() if element.tag == POINT else element.coordinates()
    wrong = np.flatnonzero(is_off_earth(points))
    if len(wrong):
        place = subject.place(element)
        lon, lat = points[wrong[0]].tolist()
        count, name = len(wrong), place.element or element.tag
        yield RULE.at(place, element=name, count=count, total=len(points), value=f"{lat:.9g}", other=f"{lon:.9g}")


def is_off_earth(points: Points) -> NDArray[np.bool_]:
    """Tell which of (n, 2) points have a latitude or longitude that does not exist; not those without a number."""
    with np.errstate(invalid="ignore"):
        return np.asarray((np.abs(points) > LIMITS).any(axis=1))
