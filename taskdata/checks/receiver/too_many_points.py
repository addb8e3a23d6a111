"""A ring has more points than the receiver takes.

What it checks
    That every ring of every polygon of a field has at most as many points as the profile of the receiver says
    (limits.points_in_ring).
Why it matters
    Some terminals cut a ring after so many points: the boundary then runs straight across the field, and sections
    switch along the wrong edge. Others drop the field.
Example
    Bad: an outline of 9,000 points for a terminal that takes 2,000.
    Good: the same outline, thinned out by a few centimetres.
How to fix
    Thin the outline so that it moves by less than the precision of the GNSS receiver, and look at it on the map before
    work.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from taskdata.checks.receiver._profile import against, said
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="receiver.too-many-points",
    severity=Severity.ERROR,
    message=(
        "A ring of {name} has {count} points, but {receiver} accepts {wanted}{basis}; it may cut the ring, or drop "
        "the field."
    ),
    remedy="Thin it with [[convert(receiver)]], then check it on the map before work.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each ring with too many points."""
    limit = said(subject, "limits.points_in_ring")
    if limit is None:
        return
    for field in subject.dataset.fields:
        for area in (*field.boundaries, *field.areas):
            for ring in (*area.exteriors, *area.interiors):
                if len(ring) > limit:
                    place = replace(area.place, location=(float(ring[limit, 0]), float(ring[limit, 1])))
                    facts = {"name": field.name or field.id, "count": len(ring), "wanted": limit}
                    yield against(subject, RULE, "limits.points_in_ring", place, **facts)
