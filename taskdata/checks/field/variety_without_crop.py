"""A field names a variety, but no crop.

What it checks
    That a field (PFD) with a crop variety (CVT) names its crop type (CTP), too. That it has to is judged.
Why it matters
    A terminal that looks for the variety under the crop of the field shows none.
Example
    Bad: <PFD ... H="CVT1"/>
    Good: <PFD ... G="CTP1" H="CVT1"/>
How to fix
    Name the crop type that the variety belongs to.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="field.variety-without-crop",
    severity=Severity.WARNING,
    message="{element} names the variety {target}, but no crop type.",
    remedy="Name the crop type that the variety belongs to.",
    clause="D.37",
    covers=("R-079",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each field with a variety and no crop type."""
    for element in subject.tagged("PFD"):
        variety = element.get("CropVarietyIdRef")
        if variety is not None and element.get("CropTypeIdRef") is None:
            yield RULE.at(subject.place(element), element=spoken(element), target=variety)
