"""The receiver does not take guidance groups.

What it checks
    That a set has no guidance groups (GGP, GPN) for a receiver whose profile says that it does not accept them
    (takes.guidance_groups).
Why it matters
    Every line in them is missing on the terminal. Whoever then makes new lines drives shifted tracks.
Example
    Bad: a GGP with two GPN in a field.
    Good: the same lines as line strings of type 5 in the field, if the terminal accepts those.
How to fix
    Convert the set to version 3, which keeps straight lines and curves as line strings of type 5 in the field; or
    make the lines on the terminal.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import against, refused
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="receiver.guidance-groups-not-taken",
    severity=Severity.ERROR,
    message="{receiver} does not accept guidance groups{basis}; the lines of {name} ({count}) will be missing on it.",
    remedy="Convert the set with [[convert(receiver)]], or make the lines on the terminal.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each guidance group."""
    if not refused(subject, "takes.guidance_groups"):
        return
    for field in subject.dataset.fields:
        for group in field.groups:
            name, count = field.name or field.id, len(group.lines)
            yield against(subject, RULE, "takes.guidance_groups", group.place, name=name, count=count)
