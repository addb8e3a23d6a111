"""A task names another customer or farm than its field or farm does.

What it checks
    That customer and farm of a task (TSK), where given, are those that its field (PFD) names, and that the customer
    is that of its farm (FRM).
Why it matters
    The same work is booked on two farms, or the invoice goes to the wrong customer.
Example
    Bad: <TSK A="TSK1" C="CTR2" E="PFD1" .../> and <PFD A="PFD1" E="CTR1" .../>
    Good: C="CTR1"
How to fix
    Correct the task, or the field or farm if the owner changed.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import referred, spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="task.owner-disagrees",
    severity=Severity.WARNING,
    message="{name} of {element} is {found}, but {other} names {wanted}.",
    remedy="Correct the task, or the field or farm if the owner changed.",
    clause="D.46",
    covers=("R-112",),
)
CUSTOMER, FARM, FIELD = "CustomerIdRef", "FarmIdRef", "PartfieldIdRef"
AGREEING = ((CUSTOMER, FIELD), (FARM, FIELD), (CUSTOMER, FARM))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each owner of a task that its field or farm contradicts."""
    for task in subject.tagged("TSK"):
        for name, through in AGREEING:
            found, other = task.get(name), referred(subject, task, through)
            wanted = None if other is None else other.get(name)
            if found is not None and other is not None and wanted is not None and found != wanted:
                facts = {"element": spoken(task), "found": found, "other": spoken(other), "wanted": wanted}
                yield RULE.at(subject.place(task), severity=None, name=name, **facts)
