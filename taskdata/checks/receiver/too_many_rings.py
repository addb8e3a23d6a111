"""The boundary of a field has more rings than the receiver takes.

What it checks
    That the boundary of every field has at most as many rings, outer ones and holes, as the profile of the receiver
    says (limits.rings_in_field).
Why it matters
    Rings beyond the limit are left out without a word: a second part of the field is missing, or a pond is worked and
    sprayed as if it were field.
Example
    Bad: a field in two parts for a terminal that takes one ring.
    Good: a field for each part.
How to fix
    Make a field of each part. Holes that are left out must be known to the driver: tell them, or keep them as
    obstacles.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import against, said
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="receiver.too-many-rings",
    severity=Severity.ERROR,
    message=(
        "The boundary of {name} has {count} rings, but {receiver} accepts {wanted}{basis}; parts or holes may be "
        "missing on it."
    ),
    remedy="Make each part a separate field, and tell the driver about holes that the terminal does not show.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each field with too many rings."""
    limit = said(subject, "limits.rings_in_field")
    if limit is None:
        return
    for field in subject.dataset.fields:
        count = sum(len(area.exteriors) + len(area.interiors) for area in field.boundaries)
        if count > limit:
            facts = {"name": field.name or field.id, "count": count, "wanted": limit}
            yield against(subject, RULE, "limits.rings_in_field", field.place, **facts)
