"""A field is part of a field that is itself only a part.

What it checks
    That fields are nested at most two levels: the field (PFD) that a partfield names has no larger field itself.
Why it matters
    Terminals show fields and their parts, no deeper. What lies below is not shown, or the set is refused.
Example
    Bad: PFD3 is part of PFD2, and PFD2 is part of PFD1.
    Good: PFD2 and PFD3 are parts of PFD1.
How to fix
    Name the largest field as the parent of all its parts.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import referred, spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="field.nested-too-deep",
    severity=Severity.ERROR,
    message="{element} is part of {parent}, which is itself part of {whole}; only two levels are allowed.",
    remedy="Name the largest field as the parent of all its parts.",
    clause="D.37",
    covers=("R-078",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each field below the second level."""
    for element in subject.tagged("PFD"):
        field = referred(subject, element, "FieldIdRef")
        whole = None if field is None else field.get("FieldIdRef")
        if field is not None and field is not element and whole is not None and whole != field.id:
            yield RULE.at(subject.place(element), element=spoken(element), parent=field.id, whole=whole)
