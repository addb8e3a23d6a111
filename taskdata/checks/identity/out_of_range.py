"""The number of an identifier is beyond 32 bits.

What it checks
    That the number lies between -2147483647 and 2147483647.
Why it matters
    The standard does not say this in so many words; it is judged: its reserved number -2147483648 is the end of the
    signed 32-bit range, and terminals hold the number in 32 bits. A larger one may come back changed.
Example
    Bad: TSK5000000000
    Good: TSK5
How to fix
    Give the element a smaller free number and correct the references to it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="identity.out-of-range",
    severity=Severity.WARNING,
    message="The number of the identifier {id} does not fit into 32 bits.",
    remedy="Give the element a smaller free number and correct the references to it.",
    clause="8.4",
    covers=("R-041",),
)
LIMIT = 1 << 31
_IDENTIFIER = re.compile(r"[A-Z]{3}(-?[0-9]+)")


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element whose number is too large."""
    for identifier, found in subject.ids.items():
        parts = _IDENTIFIER.fullmatch(identifier)
        if parts and abs(int(parts[1])) > LIMIT - (int(parts[1]) > 0):
            for element in found:
                yield RULE.at(subject.place(element), id=identifier)
