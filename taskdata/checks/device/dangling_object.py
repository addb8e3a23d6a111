"""A device element refers to a value that the device does not have.

What it checks
    That each object number in a reference of a device element (DOR) is that of process data (DPD) or a property (DPT)
    of the same device (DVC).
Why it matters
    What the element offers is not known: an offset, a width or a rate is missing, and the terminal may refuse the
    description.
Example
    Bad: <DOR A="88"/> while no DPD or DPT of the device has A="88".
    Good: <DOR A="3"/> and <DPD A="3" .../>
How to fix
    Load the device description from the machine again, or remove the reference.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.device._devices import devices
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.dangling-object",
    severity=Severity.ERROR,
    message="{element} refers to the object {number}, which is not process data (DPD) or a property (DPT) of {whole}.",
    remedy="Load the device description from the machine again, or remove the reference.",
    clause="D.22",
    covers=("R-095",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each reference without a value."""
    for device in devices(subject):
        known = {integer(item, "DeviceProcessDataObjectId") for item in device.element.elements("DPD")}
        known |= {integer(item, "DevicePropertyObjectId") for item in device.element.elements("DPT")}
        for part in device.parts:
            for reference in part.element.elements("DOR"):
                number = integer(reference, "DeviceObjectId")
                if number is not None and number not in known:
                    element, whole = spoken(part.element), spoken(device.element)
                    yield RULE.at(subject.place(reference), element=element, number=number, whole=whole)
