"""A mixture is a part of itself.

What it checks
    That no product relation (PRN) names the product that holds it.
Why it matters
    The recipe cannot be worked out: a receiver that tries goes round in circles.
Example
    Bad: <PDT A="PDT1" ... F="2"><PRN A="PDT1" B="1000"/></PDT>
    Good: <PDT A="PDT1" ... F="2"><PRN A="PDT2" B="1000"/></PDT>
How to fix
    Name the product that was meant.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="product.part-of-itself",
    severity=Severity.ERROR,
    message="{element} names itself as a component.",
    remedy="Name the product that was meant.",
    clause="D.42, D.45",
    covers=("R-085",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each part that is the product itself."""
    for element in subject.tagged("PRN"):
        owner = element.parent
        if owner is not None and owner.id is not None and element.get("ProductIdRef") == owner.id:
            yield RULE.at(subject.place(element), element=owner.id)
