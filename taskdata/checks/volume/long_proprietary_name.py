"""A proprietary name is too long.

What it checks
    That names of proprietary elements and attributes have at most 16 characters.
Why it matters
    A receiver need not keep longer ones: what the element or attribute holds may be gone when the set comes back.
Example
    Bad: P137_FieldReleaseNumber
    Good: P137_Release
How to fix
    Have the program that wrote it use a shorter name.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks._names import odd_names
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="volume.long-proprietary-name",
    severity=Severity.WARNING,
    message="The proprietary name {name} has {length} characters; at most {wanted} are allowed.",
    remedy="Have the program that wrote it use a shorter name.",
    clause="8.4.1",
    covers=("R-050",),
)
LIMIT = 16


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each proprietary name that is too long, at each place."""
    for odd in odd_names(subject):
        if odd.is_proprietary and len(odd.name) > LIMIT:
            yield RULE.at(subject.place(odd.element), name=odd.name, length=len(odd.name), wanted=LIMIT)
