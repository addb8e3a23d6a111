"""A device element hangs below something that the device does not have.

What it checks
    That the parent of each device element (DET) is 0, the device itself, or the object number of another element of the
    same device (DVC).
Why it matters
    A terminal cannot place the element: a boom and its sections are left out, or the whole description is refused.
Example
    Bad: <DET A="DET2" B="2" ... F="77"/> while no DET of the device has B="77".
    Good: <DET A="DET2" B="2" ... F="1"/>
How to fix
    Load the device description from the machine again, or name the element that it is mounted on.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import devices
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.dangling-parent",
    severity=Severity.ERROR,
    message="{element} has the parent {parent}, which is not a device element of {whole}.",
    remedy="Load the device description from the machine again, or name the element that it is mounted on.",
    clause="D.21",
    covers=("R-093",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element whose parent does not exist."""
    for device in devices(subject):
        for part in device.parts:
            if part.parent is None and part.parent_id:
                whole = spoken(device.element)
                yield RULE.at(
                    subject.place(part.element), element=spoken(part.element), parent=part.parent_id, whole=whole
                )
