"""A single product has parts.

What it checks
    That only a mixture (product type 2 or 3) holds product relations (PRN). A product without a type is a single one.
Why it matters
    A receiver takes the product for a pure one and ignores its components: what was mixed in is not recorded.
Example
    Bad: <PDT A="PDT1" B="Broth" C="PGP1"><PRN A="PDT2" B="1000"/></PDT>
    Good: <PDT A="PDT1" B="Broth" C="PGP1" E="0048" F="2" G="1000"><PRN .../></PDT>
How to fix
    Give the product the type 2 (mixture) or 3 (temporary mixture), or remove the components.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.product._mixtures import is_mixture
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="product.parts-of-single-product",
    severity=Severity.ERROR,
    message="{element} is a single product, but has components ({count}).",
    remedy="Set the product type to 2 (mixture) or 3 (temporary mixture), or remove the components.",
    clause="D.42",
    covers=("R-084",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each single product with parts."""
    for element in subject.tagged("PDT"):
        count = sum(1 for _ in element.elements("PRN"))
        if count and not is_mixture(element):
            yield RULE.at(subject.place(element), element=spoken(element), count=count)
