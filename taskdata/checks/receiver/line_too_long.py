"""A guidance line has more points than the receiver takes.

What it checks
    That every guidance line has at most as many points as the profile of the receiver says (limits.points_in_line).
Why it matters
    Some terminals cut a curve after so many points, so that steering ends in the middle of the field; others drop the
    line.
Example
    Bad: a curve of 3,000 points for a terminal that takes 500.
    Good: the same curve, thinned out by a few centimetres.
How to fix
    Thin the curve, and drive the first pass by eye.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import against, said
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="receiver.line-too-long",
    severity=Severity.ERROR,
    message=(
        "The guidance line {name} has {count} points, but {receiver} accepts {wanted}{basis}; it may end early, or be "
        "missing."
    ),
    remedy="Thin it with [[convert(receiver)]], then drive its first pass by eye.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each guidance line with too many points."""
    limit = said(subject, "limits.points_in_line")
    if limit is None:
        return
    for line in subject.dataset.guidance:
        if len(line.points) > limit:
            facts = {"name": line.name or line.id, "count": len(line.points), "wanted": limit}
            yield against(subject, RULE, "limits.points_in_line", line.place, **facts)
