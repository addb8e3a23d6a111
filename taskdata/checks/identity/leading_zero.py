"""An identifier has leading zeros in its number.

What it checks
    That the number after the three letters of an identifier does not begin with a zero.
Why it matters
    The standard writes numbers without leading zeros. A receiver that stores the number returns PFD7 for PFD007,
    and no reference finds its target any more.
Example
    Bad: PFD007
    Good: PFD7
How to fix
    Write the number without zeros, in the element and in all references to it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="identity.leading-zero",
    severity=Severity.WARNING,
    message="The number of the identifier {id} begins with zero.",
    remedy="Write it without leading zeros, here and in every reference to it.",
    clause="8.4",
    covers=("R-038",),
)
_LEADING_ZERO = re.compile(r"[A-Z]{3}-?0[0-9]+")


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element whose identifier has leading zeros."""
    for identifier, found in subject.ids.items():
        if _LEADING_ZERO.fullmatch(identifier):
            for element in found:
                yield RULE.at(subject.place(element), id=identifier)
