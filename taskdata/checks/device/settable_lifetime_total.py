"""A lifetime total may be set from outside.

What it checks
    That process data (DPD) that the data dictionary calls a lifetime total do not have the property settable (2). Which
    DDIs are lifetime totals is mostly from memory.
Why it matters
    A lifetime total belongs to the machine, like the hours of its engine. A terminal that resumes a task and sets it
    falsifies the record.
Example
    Bad: <DPD A="9" B="0112" C="2" D="16"/>
    Good: <DPD A="9" B="0112" C="0" D="16"/>
How to fix
    Load the device description from the machine again; if the fault is in it, its manufacturer has to correct it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.device._devices import SETTABLE, devices, label
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import entry

RULE = Rule(
    id="device.settable-lifetime-total",
    severity=Severity.NOTE,
    message="{what} is a lifetime total, but is described as settable.",
    remedy="Describe the lifetime total as not settable.",
    clause="6.8.3",
    covers=("R-102",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each lifetime total that is settable."""
    for device in devices(subject):
        for value in device.values:
            if value.ddi is not None and value.flags & SETTABLE and entry(value.ddi).kind == "lifetime total":
                yield RULE.at(subject.place(value.element), what=label(value.ddi))
