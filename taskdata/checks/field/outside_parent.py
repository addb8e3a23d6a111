"""A field reaches outside the field that it is a part of.

What it checks
    That a field which names another one as the larger field (PFD.I) lies in its boundary. What sticks out within the
    allowance is allowed, as surveys differ. Both need a valid boundary.
Why it matters
    Area and work of the part are counted to the larger field. If it lies elsewhere, the reference or one of the
    boundaries is wrong.
Example
    Bad: a part of "Kuhle" that lies 5 km away.
    Good: a part cut out of the larger field.
How to fix
    Name the field in which it lies, or correct the boundary that is wrong.
"""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from taskdata.checks._field_shapes import field_shape_of, field_shapes
from taskdata.checks._ground import spot
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.geometry.nearest import in_metres

DISTANCE = Tolerance("field.outside-parent.distance", 5.0, "m", "Allowed distance from the boundary")
SHARE = Tolerance("field.outside-parent.share", 5.0, "%", "Allowed share of the part outside")
RULE = Rule(
    id="field.outside-parent",
    severity=Severity.WARNING,
    message="{share} % of {element} lies outside its parent field {target}, up to {size} m away.",
    remedy="Name the field that it lies in (PFD.I), or correct the wrong boundary.",
    clause="D.37",
    tolerances=(DISTANCE, SHARE),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such field, at a place outside."""
    for plot in field_shapes(subject).having("parent"):
        larger = field_shape_of(subject, plot.field.parent)
        if larger is None or larger.field is plot.field:
            continue
        ground = in_metres(plot.shape, larger.plane)
        outside = larger.outside(ground, subject.profile[DISTANCE])
        whole = float(shapely.area(ground))
        share = 100.0 * float(shapely.area(outside)) / whole if whole > 0.0 else 0.0
        if share > subject.profile[SHARE]:
            place = spot(plot.field.place, larger.place_in(outside))
            size = round(larger.farthest(outside), 1)
            yield RULE.at(place, share=round(share, 1), element=plot.field.id, target=larger.field.id, size=size)
