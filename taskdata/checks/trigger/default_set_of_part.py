"""A log trigger asks a part of a device for the default data set.

What it checks
    That a log trigger (DLT) with the DDI DFFF names no device element, or one with the number 0. The default set
    belongs to the whole device.
Why it matters
    The device does not know the request for a part of it: nothing is logged by default.
Example
    Bad: <DLT A="DFFF" B="31" H="DET203"/>, where DET203 has the number 2.
    Good: <DLT A="DFFF" B="31"/>
How to fix
    Remove the reference, or name the device element with the number 0.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.device._described import DEFAULT_SET, part
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import ddi_number

RULE = Rule(
    id="trigger.default-set-of-part",
    severity=Severity.WARNING,
    message="A log trigger asks {target}, element {number} of its device, for the default data set.",
    remedy="Remove the reference, or name the device element with the number 0.",
    clause="6.8.4",
    covers=("R-132",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such trigger."""
    for trigger in subject.tagged("DLT"):
        if ddi_number((trigger.get("DataLogDDI") or "").strip()) == DEFAULT_SET:
            found = part(subject, trigger.get("DeviceElementIdRef"))
            if found is not None and found.number not in {None, 0}:
                target = trigger.get("DeviceElementIdRef")
                yield RULE.at(subject.place(trigger), target=target, number=found.number)
