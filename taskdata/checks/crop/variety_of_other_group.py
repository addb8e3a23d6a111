"""The product of a variety belongs to another crop.

What it checks
    That the product of a variety (CVT) is in the product group that its crop type (CTP) names, where it names one. That
    both have to be the same group is judged.
Why it matters
    Seed or harvest is booked to another crop than the one that is in the field.
Example
    Bad: a variety of wheat, whose crop type names the group of wheat, with a product of the group of barley.
    Good: a product of the group of wheat.
How to fix
    Name the product of the right crop, or correct the group of the crop type.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import referred, spoken
from taskdata.checks.crop._groups import is_crop_group
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="crop.variety-of-other-group",
    severity=Severity.WARNING,
    message="The variety {element} names the product {target} of the group {other}, but its crop type names the "
    "group {wanted}.",
    remedy="Name a product of the crop's own group, or correct the group of the crop type.",
    clause="D.14",
    covers=("R-076",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each variety whose product is in the group of another crop."""
    for element in subject.tagged("CVT"):
        crop = element.parent
        product = referred(subject, element, "ProductIdRef")
        if crop is None or crop.tag != "CTP" or product is None:
            continue
        own, group = referred(subject, crop, "ProductGroupIdRef"), referred(subject, product, "ProductGroupIdRef")
        if own is not None and group is not None and own is not group and is_crop_group(group):
            yield RULE.at(
                subject.place(element), element=spoken(element), target=product.id, other=group.id, wanted=own.id
            )
