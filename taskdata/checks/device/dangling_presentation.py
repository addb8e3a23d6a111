"""A value is to be shown by a presentation that the device does not have.

What it checks
    That the presentation of process data (DPD) and properties (DPT) is the object number of a value presentation (DVP)
    of the same device (DVC).
Why it matters
    Unit and decimals are unknown: the driver reads a bare number, or nothing.
Example
    Bad: <DPD A="3" B="0001" ... F="9"/> while the device has no DVP with A="9".
    Good: <DPD A="3" B="0001" ... F="9"/> and <DVP A="9" .../>
How to fix
    Load the device description from the machine again, or remove the reference: the unit of the dictionary is used
    then.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.device._devices import devices
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.dangling-presentation",
    severity=Severity.ERROR,
    message="{tag} {number} names the presentation {target}, which {whole} does not have.",
    remedy="Load the device description from the machine again, or remove the reference.",
    clause="D.23, D.24",
    covers=("R-096",),
)
NUMBERS = {"DPD": "DeviceProcessDataObjectId", "DPT": "DevicePropertyObjectId"}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each value whose presentation is missing."""
    for device in devices(subject):
        for value in device.values:
            element = value.element
            target = integer(element, "DeviceValuePresentationObjectId")
            if target is not None and target not in device.presentations:
                number, whole = element.get(NUMBERS[element.tag]), spoken(device.element)
                yield RULE.at(subject.place(element), tag=element.tag, number=number, target=target, whole=whole)
