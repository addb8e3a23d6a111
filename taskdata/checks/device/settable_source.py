"""A value is both commanded by the device and commanded from outside.

What it checks
    That process data (DPD) have not both properties: settable (2) and control source (4).
Why it matters
    Two controllers command one rate, and each believes that it alone does.
Example
    Bad: <DPD A="3" B="0001" C="6" D="8"/>
    Good: <DPD A="3" B="0001" C="4" D="8"/> for a sensor, C="2" for a sprayer.
How to fix
    Load the device description from the machine again; if the fault is in it, its manufacturer has to correct it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.device._devices import SETTABLE, SOURCE, devices, label
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.settable-source",
    severity=Severity.ERROR,
    message="{what} is both settable (2) and a control source (4).",
    remedy="Keep one: 4 if the device commands the value, 2 if it obeys.",
    clause="A.4, D.23",
    covers=("R-099",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each process data with both bits."""
    for device in devices(subject):
        for value in device.values:
            if value.flags & SETTABLE and value.flags & SOURCE:
                what = value.element.tag if value.ddi is None else label(value.ddi)
                yield RULE.at(subject.place(value.element), what=what)
