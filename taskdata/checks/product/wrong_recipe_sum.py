"""The parts of a mixture do not add up to it.

What it checks
    That the amount of a mixture equals the sum of its components (PRN), where the mixture and all its components are
    measured in the same way. Mixtures of litres and kilograms cannot be checked; that the sum holds even for one unit
    is judged, for the standard's own examples mix units.
Why it matters
    The share of each component is wrong, and so is how much of it was applied.
Example
    Bad: an amount of 3000000 ml with parts of 2940000 ml and 50000 ml.
    Good: parts of 2940000 ml and 60000 ml.
How to fix
    Correct the amount of the mixture or of its components.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, referred, spoken
from taskdata.checks.product._mixtures import is_mixture
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element

RULE = Rule(
    id="product.wrong-recipe-sum",
    severity=Severity.WARNING,
    message="The mixture {element} yields {stated}, but its components add up to {found}.",
    remedy="Correct the amount of the mixture or of its components.",
    clause="D.42",
    covers=("R-087",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each mixture whose parts make another amount."""
    for element in subject.tagged("PDT"):
        stated = integer(element, "MixtureRecipeQuantity")
        found = _sum(subject, element) if is_mixture(element) else None
        if stated is not None and found is not None and stated != found:
            yield RULE.at(subject.place(element), element=spoken(element), stated=stated, found=found)


def _sum(subject: Subject, mixture: Element) -> int | None:
    """Return the sum of the parts, None where there are none or where they are not all counted like the mixture."""
    amounts: list[int] = []
    unit = (mixture.get("QuantityDDI") or "").upper()
    for item in mixture.elements("PRN"):
        part, amount = referred(subject, item, "ProductIdRef"), integer(item, "QuantityValue")
        if part is None or amount is None or not unit or (part.get("QuantityDDI") or "").upper() != unit:
            return None
        amounts.append(amount)
    return sum(amounts) if amounts else None
