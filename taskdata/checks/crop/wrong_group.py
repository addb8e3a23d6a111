"""A crop type names a product group that is not for crops.

What it checks
    That the product group (PGP) of a crop type (CTP) is of the type crop (2).
Why it matters
    The group links a crop with the products it yields and is sown from. A receiver that looks for crop products in
    another group finds fertilizer or spray.
Example
    Bad: <CTP A="CTP1" B="Wheat" C="PGP1"/> with <PGP A="PGP1" B="Fertilizer"/>
    Good: <PGP A="PGP1" B="Wheat" C="2"/>
How to fix
    Name the group of the crop's products, or make the group one of type 2.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import referred, spoken
from taskdata.checks.crop._groups import is_crop_group
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="crop.wrong-group",
    severity=Severity.ERROR,
    message="The crop type {element} names the product group {target}, which does not have the type crop (2).",
    remedy="Name a product group of the type crop, or set the type of this group to 2.",
    clause="D.13",
    covers=("R-075",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each crop type with a group of another type."""
    for element in subject.tagged("CTP"):
        group = referred(subject, element, "ProductGroupIdRef")
        if group is not None and not is_crop_group(group):
            yield RULE.at(subject.place(element), element=spoken(element), target=group.id)
