"""A device does not have exactly one element that stands for the whole of it.

What it checks
    That each device (DVC) has exactly one device element (DET) of type 1. A device without any element is found by the
    check against the schema.
Why it matters
    Everything else hangs below this element. Without it, or with two, a terminal cannot tell which values are those of
    the whole machine.
Example
    Bad: a DVC whose only DET is of type 2.
    Good: <DET A="DET1" B="1" C="1" E="0" F="0"/> and the others below it.
How to fix
    Load the device description from the machine again. If the set was edited, restore the element of type 1.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import devices
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.root-count",
    severity=Severity.ERROR,
    message="{element} has {count} device elements of type 1 (device); there must be exactly one.",
    remedy="Load the device description from the machine again, or give exactly one element the type 1.",
    clause="8.7, D.19",
    covers=("R-091",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each device with none or several roots."""
    for device in devices(subject):
        count = len(device.roots)
        if device.parts and count != 1:
            yield RULE.at(subject.place(device.element), element=spoken(device.element), count=count)
