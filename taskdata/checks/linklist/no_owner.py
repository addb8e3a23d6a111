"""A group of proprietary links does not say whose they are.

What it checks
    That a link group (LGP) of type 2 names its manufacturer by a GLN.
Why it matters
    The values mean something to one manufacturer only. Without the name no program knows that they are its own, and
    another may take them for its.
Example
    Bad: <LGP A="LGP2" B="2">
    Good: <LGP A="LGP2" B="2" C="9521234000006">
How to fix
    Have the program that made the group add its GLN, or remove the group.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.linklist._links import PROPRIETARY, groups
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="linklist.no-owner",
    severity=Severity.ERROR,
    message="{id} holds proprietary links, but does not name their manufacturer.",
    remedy="Have the program that made the group add its GLN, or remove the group.",
    clause="E.4",
    covers=("R-211",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such group."""
    for group in groups(subject, PROPRIETARY):
        if group.get("ManufacturerGLN") is None:
            yield RULE.at(subject.place(group), id=group.id or group.tag)
