"""A reference leads to an element of another kind.

What it checks
    That every reference names an element of the type that the standard requires there.
Why it matters
    A task whose field is a customer has no field: the receiver drops the reference or refuses the set.
Example
    Bad: <TSK A="TSK1" E="CTR1" .../>, where E is to name a field.
    Good: E="PFD1"
How to fix
    Name the element that was meant. Letters are easily mixed up: C is the customer, D the farm, E the field of a task.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.facts import elements

RULE = Rule(
    id="reference.wrong-type",
    severity=Severity.ERROR,
    message="{name} of {element} refers to {target}, which has type {found}; {wanted} is required here.",
    remedy="Name the element that was meant.",
    clause="8.4",
    covers=("R-044", "R-071"),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each reference whose target is of another type."""
    for reference in subject.misled:
        place = subject.place(reference.element)
        yield RULE.at(
            place,
            name=reference.fact.name,
            element=place.element or reference.element.tag,
            target=reference.text,
            found=_spoken(subject.ids[reference.text][0].tag),
            wanted=_spoken(reference.fact.refers_to or ""),
        )


def _spoken(tag: str) -> str:
    fact = elements().get(tag)
    return tag if fact is None else f"{fact.name} ({tag})"
