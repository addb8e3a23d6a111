"""A set holds more elements of one type than a receiver need take.

What it checks
    That a set holds at most 2000 elements of each type of coding data: fields, products, customers and the like. Tasks,
    maps and geometry do not count.
Why it matters
    A receiver need not process more. What is beyond its limit may be missing on the machine, or the whole set refused.
Example
    Bad: 2,400 fields (PFD) in one set.
    Good: the fields of the coming jobs.
How to fix
    Send only what the coming jobs need, or split the set.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.facts import elements

RULE = Rule(
    id="volume.too-many-of-type",
    severity=Severity.WARNING,
    message=(
        "The set holds {count} elements of type {tag} ({name}); a receiver need not accept more than {wanted}. This "
        "is the first one beyond the limit."
    ),
    remedy="Send only what the coming jobs need, or split the set.",
    clause="8.5, F.2",
    covers=("R-047",),
)
LIMIT = 2000


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each type with too many elements, at the first beyond the limit."""
    for tag, fact in elements().items():
        found = subject.tagged(tag) if fact.kind == "coding" else []
        if len(found) > LIMIT:
            yield RULE.at(subject.place(found[LIMIT]), count=len(found), tag=tag, name=fact.name, wanted=LIMIT)
