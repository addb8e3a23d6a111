"""A field grows a variety of another crop than the one it names.

What it checks
    That the crop variety (CVT) of a field (PFD) is one of the crop type (CTP) that the field names. That it has to be
    is judged.
Why it matters
    One of the two is wrong: the crop rotation, and what may be sprayed, are decided on it.
Example
    Bad: <PFD ... G="CTP1" H="CVT3"/> while CVT3 is a variety of CTP2.
    Good: <PFD ... G="CTP2" H="CVT3"/>
How to fix
    Correct the crop type or the variety of the field.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import referred, spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="field.variety-of-other-crop",
    severity=Severity.WARNING,
    message="{element} names the crop type {wanted} and the variety {target}, which belongs to {found}.",
    remedy="Correct the crop type or the variety of the field.",
    clause="D.37",
    covers=("R-079",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each field whose variety is of another crop."""
    for element in subject.tagged("PFD"):
        crop, variety = referred(subject, element, "CropTypeIdRef"), referred(subject, element, "CropVarietyIdRef")
        if crop is None or variety is None or variety.parent is None or variety.parent is crop:
            continue
        if variety.parent.tag == "CTP":
            yield RULE.at(
                subject.place(element),
                element=spoken(element),
                wanted=crop.id,
                target=variety.id,
                found=spoken(variety.parent),
            )
