"""A part of a mixture does not say how it is counted.

What it checks
    That a single product (PDT) that is a component of a mixture (PRN) gives its quantity DDI. The standard words this
    in two places differently; the reading used here is judged, hence only a warning.
Why it matters
    The amount of the component is a bare number: millilitres, grams and pieces cannot be told apart.
Example
    Bad: <PRN A="PDT4" B="2940000"/> with <PDT A="PDT4" B="Water" C="PGP3"/>
    Good: <PDT A="PDT4" B="Water" C="PGP3" E="0048"/>
How to fix
    Give the product its quantity: 0048 (volume), 004B (mass) or 004E (count).
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import referred, spoken
from taskdata.checks.product._mixtures import is_mixture
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="product.part-without-quantity",
    severity=Severity.WARNING,
    message="{element} has {value} of the component {target}, which does not say how it is measured.",
    remedy="Give the component its quantity DDI: 0048 (volume), 004B (mass) or 004E (count).",
    clause="D.42, D.45",
    covers=("R-086",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each part without a quantity."""
    for element in subject.tagged("PRN"):
        owner, part = element.parent, referred(subject, element, "ProductIdRef")
        if owner is None or part is None or part is owner or is_mixture(part):
            continue
        if part.get("QuantityDDI") is None:
            value = element.get("QuantityValue") or "?"
            yield RULE.at(subject.place(element), element=spoken(owner), value=value, target=part.id)
