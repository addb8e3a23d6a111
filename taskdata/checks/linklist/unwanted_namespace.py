"""A link group has a namespace that its type does not use.

What it checks
    That only link groups of type 3 and 4 have a namespace.
Why it matters
    A receiver either ignores it or puts it before UUIDs and proprietary values, which then match nothing.
Example
    Bad: <LGP A="LGP1" B="1" D="urn:uuid:">
    Good: <LGP A="LGP1" B="1">
How to fix
    Remove the namespace; if the values need it, the type is wrong.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.linklist._links import PROPRIETARY, UUID, groups
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="linklist.unwanted-namespace",
    severity=Severity.WARNING,
    message="{id} has the namespace '{value}', which its type does not use.",
    remedy="Remove the namespace; if the values need it, the type is wrong.",
    clause="E.4",
    covers=("R-214",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such group."""
    for group in groups(subject, UUID, PROPRIETARY):
        value = group.get("LinkGroupNamespace")
        if value is not None:
            yield RULE.at(subject.place(group), id=group.id or group.tag, value=value)
