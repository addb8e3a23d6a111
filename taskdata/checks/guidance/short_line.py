"""A and B lie closer together than one width of the machine.

What it checks
    That a line from A to B is at least as long as its passes are apart, else as wide as the only machine of the set.
    A line of no length is reported as guidance.no-length.
Why it matters
    The direction of the line comes from two points. At 5 m a few centimetres of error turn it by half a degree, which
    is 4 m at the other end of a field of 500 m.
Example
    Bad: A and B 5 m apart for passes of 24 m, set while the machine stood at the headland.
    Good: A and B at both ends of the field.
How to fix
    Set A and B again, as far apart as the field allows.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks._ground import on_earth, spot
from taskdata.checks.guidance._widths import width_for
from taskdata.checks.guidance.no_length import ONE_PLACE_M
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.geometry.geodesy import inverse, line_length
from taskdata.model.fields import Field, GuidanceKind, GuidanceLine

WIDTHS = Tolerance("guidance.short-line.widths", 1.0, "", "Shortest line, in working widths")
RULE = Rule(
    id="guidance.short-line",
    severity=Severity.WARNING,
    message="{element} is {length} m long, but its passes are {size} m wide.",
    remedy="Set A and B again, as far apart as the field allows.",
    clause="D.30",
    tolerances=(WIDTHS,),
)
KINDS = {GuidanceKind.AB, GuidanceKind.CURVE}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such line, at A."""
    known = list(_lines(subject))
    ends = np.array([line.points[[0, -1]] for _, line, _ in known]).reshape(-1, 2, 2)
    apart = inverse(ends[:, 0], ends[:, 1])[1]
    for (field, line, width), distance in zip(known, apart.tolist(), strict=True):
        limit = width * subject.profile[WIDTHS]
        length = line_length(line.points) if line.kind is GuidanceKind.CURVE and distance < limit else distance
        if ONE_PLACE_M <= length < limit:
            sizes = {"length": round(length, 2), "size": round(width, 3)}
            yield RULE.at(spot(line.place, line.points[0]), severity=None, element=line.id or field.id, **sizes)


def _lines(subject: Subject) -> Iterator[tuple[Field, GuidanceLine, float]]:
    """Yield the lines that lead from A to B, with their field and the width that they are made for."""
    for field in subject.dataset.fields:
        for line in (*field.guidance, *field.line_guidance):
            width = width_for(subject, line) if line.kind in KINDS and len(line.points) > 1 else None
            if width is not None and on_earth(line.points[[0, -1]]).all():
                yield field, line, width
