"""A log trigger asks for a value or a method that the device does not offer.

What it checks
    That the device element that a log trigger (DLT) names lists process data (DPD) with its DDI and with all of its
    methods. Elements whose description cannot be read wholly are not checked. Judged.
Why it matters
    The value is not logged, or not as often as asked. The map made of it stays empty.
Example
    Bad: <DLT A="0002" B="1" D="1000" H="DET203"/>, while DET203 has no process data 0002.
    Good: H="DET204", which has it.
How to fix
    Name the element that offers the value, or leave the element out: then every one that has it answers.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.device._described import DEFAULT_SET, MESSAGE, described
from taskdata.checks.device._devices import label
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import ddi_number

RULE = Rule(
    id="trigger.not-offered",
    severity=Severity.NOTE,
    message="A log trigger asks {target} for {value}, {what}.",
    remedy="Name the element that offers the value, or leave the element out.",
    clause="D.17",
    covers=("R-134",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each trigger that its element cannot serve."""
    for trigger in subject.tagged("DLT"):
        ddi = ddi_number((trigger.get("DataLogDDI") or "").strip())
        found = described(subject, trigger.get("DeviceElementIdRef"))
        if found is None or ddi is None or ddi in {DEFAULT_SET, MESSAGE}:
            continue
        offered = [value for value in found.of(ddi) if not value.is_property]
        methods = 0
        for value in offered:
            methods |= value.triggers
        asked = integer(trigger, "DataLogMethod") or 0
        what = None
        if not offered:
            what = "which it does not offer"
        elif asked > 0 and asked & ~methods:
            what = f"by the methods {asked & ~methods}, which it does not support for it"
        if what is not None:
            target = trigger.get("DeviceElementIdRef")
            yield RULE.at(subject.place(trigger), target=target, value=label(ddi), what=what)
