"""A field names itself as the field it is part of.

What it checks
    That the field (PFD) that a partfield names as its field is another one.
Why it matters
    A receiver that follows the reference goes round in circles; many terminals stop with an error.
Example
    Bad: <PFD A="PFD1" C="Kuhle" D="12000" I="PFD1"/>
    Good: <PFD A="PFD1" C="Kuhle" D="12000"/>
How to fix
    Remove the reference, or name the larger field.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="field.part-of-itself",
    severity=Severity.ERROR,
    message="{element} names itself as the field it is part of.",
    remedy="Take the reference out, or name the larger field.",
    clause="D.37",
    covers=("R-078",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each field that is part of itself."""
    for element in subject.tagged("PFD"):
        if element.id is not None and element.get("FieldIdRef") == element.id:
            yield RULE.at(subject.place(element), element=element.id)
