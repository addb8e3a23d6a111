"""The amount of an allocated product cannot be read.

What it checks
    That an allocation (PAN) gives amount and quantity together, and that one with a transfer mode has both. Judged.
Why it matters
    1500000 of what? Without the quantity the amount is not a number of litres, kilograms or seeds; with a mode alone
    nobody knows how much was filled or emptied.
Example
    Bad: <PAN A="PDT5" C="1500000" D="1"/>
    Good: <PAN A="PDT5" B="0048" C="1500000" D="1"/>
How to fix
    Add what is missing. Quantities are 0048 (ml), 004B (g) and 004E (count).
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="allocation.amount-without-quantity",
    severity=Severity.WARNING,
    message="An allocation of {element} gives {found} but not {wanted}.",
    remedy="Add what is missing; quantities are 0048 (ml), 004B (g) and 004E (count).",
    clause="D.43",
    covers=("R-146",),
)
QUANTITY, AMOUNT, MODE = "QuantityDDI", "QuantityValue", "TransferMode"


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each allocation that lacks one or both."""
    for allocation in subject.tagged("PAN"):
        given = [name for name in (QUANTITY, AMOUNT, MODE) if allocation.get(name) is not None]
        missing = [name for name in (QUANTITY, AMOUNT) if name not in given]
        if given and missing:
            place = subject.place(allocation)
            owner = place.element or allocation.tag
            yield RULE.at(place, element=owner, found=" and ".join(given), wanted=" or ".join(missing))
