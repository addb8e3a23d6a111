"""The parts of one field lie far apart.

What it checks
    That each outer ring of the boundary of a field lies near another one. Parts on both sides of a road or a brook are
    one field in practice; beyond the allowance, which is common practice, they are worked on different days.
Why it matters
    Part of the field has wrong coordinates, or belongs to another field. Passes, times and distances are planned across
    the gap.
Example
    Bad: one part in the valley, another one 40 km away.
    Good: two parts on both sides of a lane.
How to fix
    Make them two fields, or correct the coordinates of the part that is elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks._ground import spot
from taskdata.checks.field._parts import gaps, parts
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance

DISTANCE = Tolerance("field.parts-far-apart.distance", 2000.0, "m", "Allowed distance between parts")
RULE = Rule(
    id="field.parts-far-apart",
    severity=Severity.WARNING,
    message=(
        "{count} of the {total} parts of {element} are more than {limit} m from every other part, one of them {size} m."
    ),
    remedy="Make them separate fields, or correct the coordinates of the misplaced part.",
    clause="D.39",
    tolerances=(DISTANCE,),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such field, in the part that lies farthest from the others."""
    limit = subject.profile[DISTANCE]
    for plot, shapes in parts(subject):
        apart = gaps(shapes)
        count = int((apart > limit).sum())
        if count:
            place = spot(plot.field.place, plot.place_in(shapes[int(apart.argmax())]))
            facts = {"count": count, "total": len(shapes), "limit": round(limit), "size": round(float(apart.max()))}
            yield RULE.at(place, severity=None, element=plot.field.id, **facts)
