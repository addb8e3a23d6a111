"""A time holds a value that its device element does not offer.

What it checks
    That every value (DLV) in a time (TIM), or in the header of a time log, has a DDI that process data or a property of
    its device element has. Elements whose description cannot be read wholly are not checked, and devices that describe
    no values at all. Judged.
Why it matters
    The value was measured by something else than the set says: it may be counted for the wrong boom or tank.
Example
    Bad: <DLV A="0050" B="1152" C="DET201"/>, while the amount is counted at DET203.
    Good: C="DET203"
How to fix
    Export the device description that belongs to the records, or correct the element.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.device._described import DEFAULT_SET, MESSAGE, described
from taskdata.checks.device._devices import label
from taskdata.checks.subject import Subject
from taskdata.checks.trigger._messages import carriers
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import ddi_number

RULE = Rule(
    id="time.value-not-offered",
    severity=Severity.WARNING,
    message="A value of {target} is recorded as {value}, which that element does not have.",
    remedy="Export the device description that belongs to the records, or correct the element.",
    clause="D.18",
    covers=("R-135",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such value."""
    for value in carriers(subject):
        if value.tag != "DLV":
            continue
        target = value.get("DeviceElementIdRef")
        found, ddi = described(subject, target), ddi_number((value.get("ProcessDataDDI") or "").strip())
        if found is not None and ddi is not None and ddi not in {DEFAULT_SET, MESSAGE} and not found.of(ddi):
            yield RULE.at(subject.place(value), target=target, value=label(ddi))
