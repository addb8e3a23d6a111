"""The total of a task cannot be set, so it counts as one of a lifetime.

What it checks
    That process data (DPD) with the trigger method total (16) that the data dictionary lists as a total of a task have
    the property settable (2). Which DDIs are totals of a task is mostly from memory.
Why it matters
    A total that is not settable is a lifetime total. When a task is resumed, the terminal cannot restore its total:
    area and amount of the task are wrong.
Example
    Bad: <DPD A="5" B="0074" C="0" D="17"/>
    Good: <DPD A="5" B="0074" C="2" D="17"/>
How to fix
    Load the device description from the machine again; if the fault is in it, read the value as a lifetime total.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.device._devices import SETTABLE, TOTAL, devices, label
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import entry

RULE = Rule(
    id="device.total-not-settable",
    severity=Severity.NOTE,
    message="{what} is the total of a task, but is not settable, so it counts as a lifetime total.",
    remedy="Describe the total as settable, or use the DDI of the lifetime total.",
    clause="6.8.3",
    covers=("R-102",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each total of a task that is not settable."""
    for device in devices(subject):
        for value in device.values:
            if value.ddi is None or not value.triggers & TOTAL or value.flags & SETTABLE:
                continue
            if entry(value.ddi).kind == "total":
                yield RULE.at(subject.place(value.element), what=label(value.ddi))
