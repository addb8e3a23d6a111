"""Two objects have the same UUID.

What it checks
    That no two objects of the set are linked to one UUID. Judged: the standard asks for random UUIDs, which are never
    equal by chance.
Why it matters
    Two fields or products become one at the next exchange, and what belongs to one is booked on the other.
Example
    Bad: the same value in <LNK A="PFD1" .../> and <LNK A="PFD2" .../>
    Good: a UUID for each.
How to fix
    Find out whose it is and give the other a new one; copying an object must not copy its UUID.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.linklist._links import UUID, groups, links
from taskdata.checks.linklist.wrong_uuid import is_random_uuid
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="linklist.shared-uuid",
    severity=Severity.WARNING,
    message="{target} has the UUID of {other}: {value}.",
    remedy="Find out which object it belongs to, and give the other a new one.",
    clause="E.4",
    covers=("R-212",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each further object of a UUID."""
    owners: dict[str, str] = {}
    for group in groups(subject, UUID):
        for link in links(group):
            if link.target is None or not is_random_uuid(link.value):
                continue
            owner = owners.setdefault(link.value.lower(), link.target)
            if owner != link.target:
                yield RULE.at(subject.place(link.element), target=link.target, other=owner, value=link.value)
