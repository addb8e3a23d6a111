"""No crop type names a product group that is for crops.

What it checks
    That each product group (PGP) of the type crop (2) is named by a crop type (CTP). That it has to be is judged: the
    standard says what the group is for.
Why it matters
    Nobody can tell which crop the seed and the harvest of this group belong to.
Example
    Bad: <PGP A="PGP1" B="Wheat" C="2"/> while no CTP names PGP1.
    Good: <CTP A="CTP1" B="Wheat" C="PGP1"/>
How to fix
    Name the group in its crop type, or make it an ordinary product group.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.crop._groups import is_crop_group
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="crop.group-without-crop",
    severity=Severity.WARNING,
    message="No crop type names the product group {element}, which has the type crop (2).",
    remedy="Name the group in its crop type, or make it an ordinary product group.",
    clause="D.44",
    covers=("R-089",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each crop group that no crop type names."""
    named = {element.get("ProductGroupIdRef") for element in subject.tagged("CTP")}
    for element in subject.tagged("PGP"):
        if element.id is not None and element.id not in named and is_crop_group(element):
            yield RULE.at(subject.place(element), element=element.id)
