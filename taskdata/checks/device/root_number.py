"""The element that stands for the whole device has a wrong number or place.

What it checks
    That the device element (DET) of type 1 has the element number 0 and the device itself (0) as its parent.
Why it matters
    Values of the whole machine, such as its totals, are addressed to the element number 0. They get lost.
Example
    Bad: <DET A="DET1" B="1" C="1" E="3" F="0"/>
    Good: <DET A="DET1" B="1" C="1" E="0" F="0"/>
How to fix
    Load the device description from the machine again, or set element number and parent to 0.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import devices
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.root-number",
    severity=Severity.ERROR,
    message="{element} of type 1 has the element number {number} and the parent {parent}; both must be 0.",
    remedy="Load the device description from the machine again, or set element number and parent to 0.",
    clause="8.7, D.19",
    covers=("R-091",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each root, alone of its type, whose number or parent is not 0."""
    for device in devices(subject):
        for part in device.roots if len(device.roots) == 1 else ():
            if part.number is not None and part.parent_id is not None and (part.number, part.parent_id) != (0, 0):
                place = subject.place(part.element)
                yield RULE.at(place, element=spoken(part.element), number=part.number, parent=part.parent_id)
