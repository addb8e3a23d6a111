"""One object has two UUIDs.

What it checks
    That over all link groups of type 1 without a manufacturer each object has at most one link.
Why it matters
    The object has two identities: programs that go by different ones create it twice.
Example
    Bad: two <LNK A="PFD1" .../> with different values in groups of type 1.
    Good: one.
How to fix
    Keep the older one, which other programs already know.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.linklist._links import UUID, Link, groups, links
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="linklist.second-uuid",
    severity=Severity.ERROR,
    message="{target} has a second UUID; the first is on line {first_line}.",
    remedy="Keep the older one, which other programs already know.",
    clause="E.4",
    covers=("R-213",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each further link of an object."""
    first: dict[str, Link] = {}
    for group in groups(subject, UUID):
        if group.get("ManufacturerGLN") is not None:
            continue
        for link in links(group):
            if link.target is not None and first.setdefault(link.target, link) is not link:
                line = first[link.target].element.line
                yield RULE.at(subject.place(link.element), target=link.target, first_line=line)
