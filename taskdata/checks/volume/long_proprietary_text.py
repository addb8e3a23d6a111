"""A proprietary attribute holds too long a text.

What it checks
    That the value of every proprietary attribute has at most 64 characters.
Why it matters
    A receiver need not keep more: the value may come back cut, or not at all.
Example
    Bad: P137_Note with 200 characters.
    Good: a note of at most 64 characters.
How to fix
    Shorten the value in the program that wrote it, or put it into an attached file.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks._names import odd_names
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="volume.long-proprietary-text",
    severity=Severity.WARNING,
    message="The proprietary attribute {name} holds {length} characters; at most {wanted} are allowed.",
    remedy="Shorten the value in the program that wrote it.",
    clause="8.4.1",
    covers=("R-050",),
)
LIMIT = 64


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each value that is too long."""
    for odd in odd_names(subject):
        if odd.attribute is None or not odd.is_proprietary:
            continue
        length = len(odd.element.attributes[odd.attribute])
        if length > LIMIT:
            yield RULE.at(subject.place(odd.element), name=odd.attribute, length=length, wanted=LIMIT)
