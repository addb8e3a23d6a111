"""A curve turns tighter than half the width of the machine.

What it checks
    That the radius of a guidance curve is nowhere smaller than half the distance of its passes, else half the width of
    the only machine of the set. The turn is measured over a quarter of the width, so that noise does not count. Curves
    that are not continued to the sides are not checked, and so are spirals, which are tight in the middle.
Why it matters
    The inner end of the machine goes backwards there. Passes beside it fold over, gaps and overlaps follow from it.
Example
    Bad: passes of 24 m along a curve that goes round a tree with a radius of 8 m.
    Good: the tree as an obstacle, and a curve that passes it by.
How to fix
    Smooth the curve, or split it into two lines there.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from taskdata.checks._ground import on_earth, spot
from taskdata.checks.guidance._widths import width_for
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.geometry.arrays import Points
from taskdata.geometry.paths import distinct, length, resample
from taskdata.geometry.plane import LocalPlane
from taskdata.model.fields import GuidanceKind

SHARE = Tolerance("guidance.tight-curve.share", 50.0, "%", "Smallest radius as a share of the width")
RULE = Rule(
    id="guidance.tight-curve",
    severity=Severity.WARNING,
    message="{element} turns with a radius of about {value} m; passes {size} m apart need {limit} m.",
    remedy="Smooth the curve, or split it into two lines there.",
    clause="D.30",
    tolerances=(SHARE,),
)
NOT_CONTINUED = 4
LEAST_POINTS = 3


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such curve, where it turns most."""
    for field in subject.dataset.fields:
        for line in (*field.guidance, *field.line_guidance):
            width = width_for(subject, line) if line.kind is GuidanceKind.CURVE else None
            if width is None or line.propagation == NOT_CONTINUED or not on_earth(line.points).all():
                continue
            plane, limit = LocalPlane(*line.points[0].tolist()), width * subject.profile[SHARE] / 100.0
            place, radius = _tightest(plane.forward(line.points), width / 4.0)
            if radius < limit:
                where = spot(line.place, plane.inverse(place)[0])
                facts: dict[str, Any] = {"value": round(radius, 1), "size": round(width, 3), "limit": round(limit, 2)}
                yield RULE.at(where, element=line.id or field.id, **facts)


def _tightest(points: Points, step: float) -> tuple[Points, float]:
    """Return where a path turns most, and the radius there; infinite where it is straight or has no length."""
    path = distinct(points)
    if len(path) < LEAST_POINTS or length(path) < 2.0 * step or step <= 0.0:
        return points[0], float("inf")
    places = resample(path, step)
    ways = np.diff(places, axis=0)
    sizes = np.hypot(*ways.T)
    back, ahead = ways[:-1], ways[1:]
    cross = back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0]
    turns = np.abs(np.arctan2(cross, (back * ahead).sum(axis=1)))
    with np.errstate(divide="ignore", invalid="ignore"):
        radii = np.where(turns > 0.0, (sizes[:-1] + sizes[1:]) / 2.0 / turns, np.inf)
    most = int(np.argmin(radii))
    return places[most + 1], float(radii[most])
