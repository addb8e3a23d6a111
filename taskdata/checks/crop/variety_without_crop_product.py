"""A variety names a product that is no crop product.

What it checks
    That the product (PDT) of a crop variety (CVT) belongs to a product group (PGP) of the type crop (2).
Why it matters
    The product of a variety is its seed or harvest. A receiver that trusts the link counts fertilizer as seed.
Example
    Bad: <CVT A="CVT1" B="Gold" C="PDT1"/>, PDT1 of <PGP A="PGP1" B="Fertilizer"/>
    Good: PDT1 of <PGP A="PGP1" B="Wheat" C="2"/>
How to fix
    Name the seed or the harvested product of the variety, or move the product to the group of its crop.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import referred, spoken
from taskdata.checks.crop._groups import is_crop_group
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="crop.variety-without-crop-product",
    severity=Severity.ERROR,
    message=(
        "The variety {element} names the product {target} of the group {other}, which does not have the type crop (2)."
    ),
    remedy="Name the seed or the harvested product of the variety, or move the product to the group of its crop.",
    clause="D.14",
    covers=("R-076",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each variety whose product is in a group of another type."""
    for element in subject.tagged("CVT"):
        product = referred(subject, element, "ProductIdRef")
        group = None if product is None else referred(subject, product, "ProductGroupIdRef")
        if product is not None and group is not None and not is_crop_group(group):
            yield RULE.at(subject.place(element), element=spoken(element), target=product.id, other=group.id)
