"""An identifier uses a reserved number.

What it checks
    That no identifier has the number 0 (allowed, though unwise, before version 3) or -2147483648.
Why it matters
    Receivers use these numbers for "none"; the element may be dropped or every reference to it be taken for empty.
Example
    Bad: PFD0
    Good: PFD1
How to fix
    Give the element a free number, positive in the office and negative on the machine, and correct the references.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.versions import has

RULE = Rule(
    id="identity.reserved-number",
    severity=Severity.ERROR,
    message="The identifier {id} uses the reserved number {number}.",
    remedy="Give the element a free number and correct the references to it.",
    clause="8.4",
    covers=("R-039", "R-040"),
)
LOWEST = -(1 << 31)
_IDENTIFIER = re.compile(r"[A-Z]{3}(-?[0-9]+)")


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element whose identifier has a reserved number."""
    for identifier, found in subject.ids.items():
        parts = _IDENTIFIER.fullmatch(identifier)
        number = int(parts[1]) if parts else None
        if number not in {0, LOWEST}:
            continue
        mild = number == 0 and subject.major is not None and not has("the number 0 is reserved", subject.major)
        for element in found:
            severity = Severity.WARNING if mild else Severity.ERROR
            yield RULE.at(subject.place(element), severity=severity, id=identifier, number=number)
