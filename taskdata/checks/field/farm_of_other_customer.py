"""A field names a customer and the farm of another.

What it checks
    That the farm (FRM) of a field (PFD) belongs to the customer (CTR) that the field names, where both and the owner of
    the farm are given. That they have to agree is judged.
Why it matters
    The work is billed to one of the two, and it may be the wrong one.
Example
    Bad: <PFD ... E="CTR1" F="FRM2"/> while FRM2 belongs to CTR2.
    Good: <PFD ... E="CTR2" F="FRM2"/>
How to fix
    Correct the customer or the farm of the field, or the customer of the farm.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import referred, spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="field.farm-of-other-customer",
    severity=Severity.WARNING,
    message="{element} names the customer {target} and the farm {other}, which belongs to {found}.",
    remedy="Correct the customer or the farm of the field, or the customer of the farm.",
    clause="D.37, D.16",
    covers=("R-080",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each field whose farm belongs to another customer."""
    for element in subject.tagged("PFD"):
        customer, farm = referred(subject, element, "CustomerIdRef"), referred(subject, element, "FarmIdRef")
        owner = None if farm is None else referred(subject, farm, "CustomerIdRef")
        if customer is not None and farm is not None and owner is not None and owner is not customer:
            yield RULE.at(
                subject.place(element), element=spoken(element), target=customer.id, other=farm.id, found=owner.id
            )
