"""A set holds more coding data than a receiver need take.

What it checks
    That a set holds at most 20000 elements of coding data in all. Tasks, maps and geometry do not count.
Why it matters
    A receiver need not process more. What is beyond its limit may be missing on the machine, or the whole set refused.
Example
    Bad: 25,000 fields, products and parts of devices in one set.
    Good: what the coming jobs need.
How to fix
    Send only what the coming jobs need, or split the set.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.isoxml.facts import elements

RULE = Rule(
    id="volume.too-many",
    severity=Severity.WARNING,
    message="The set holds {count} elements of coding data; a receiver need not accept more than {wanted}.",
    remedy="Send only what the coming jobs need, or split the set.",
    clause="8.5, F.2",
    covers=("R-048",),
)
LIMIT = 20_000


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for a set with too many elements."""
    if subject.document is None:
        return
    count = sum(len(subject.tagged(tag)) for tag, fact in elements().items() if fact.kind == "coding")
    if count > LIMIT:
        yield RULE.at(Place(file=subject.document.main.name), count=count, wanted=LIMIT)
