"""The manufacturer of a link group has an impossible number.

What it checks
    That the GLN of a link group (LGP) has 13 digits and the right check digit. One that is written as a URI is not
    looked into. The standard names the kind of number; its digits are ruled by the GS1 General Specifications.
Why it matters
    A mistyped number names nobody, or somebody else. Programs compare it to find their own links.
Example
    Bad: C="9521234000007"
    Good: C="9521234000006"
How to fix
    Ask the manufacturer for the number.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.gln import is_gln
from taskdata.checks.linklist._links import groups
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="linklist.wrong-owner",
    severity=Severity.WARNING,
    message="The manufacturer of {id} is '{value}', which is not a GLN of 13 digits with a valid check digit.",
    remedy="Ask the manufacturer for the number.",
    clause="E.4",
    covers=("R-211",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each group whose number cannot be right."""
    for group in groups(subject):
        value = group.get("ManufacturerGLN")
        if value is not None and ":" not in value and not is_gln(value.strip()):
            yield RULE.at(subject.place(group), id=group.id or group.tag, value=value)
