"""Two objects of a device have one number.

What it checks
    That the object numbers of device elements (DET), process data (DPD), properties (DPT) and value presentations (DVP)
    are unique within their device (DVC), over all four together. 0 and 65535 are found by the check against the schema.
Why it matters
    Elements refer to values and presentations by these numbers. A terminal takes one of the two: a width may be read as
    a rate.
Example
    Bad: <DPD A="4" .../> and <DPT A="4" .../> in one DVC.
    Good: <DPD A="4" .../> and <DPT A="5" .../>
How to fix
    Load the device description from the machine again, or give one of them a free number and correct the references to
    it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.device._devices import devices
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element

RULE = Rule(
    id="device.repeated-object-number",
    severity=Severity.ERROR,
    message="The object number {number} of {tag} is already that of {other} on line {other_line}.",
    remedy=(
        "Load the device description from the machine again, or give one of them a free number and correct the "
        "references to it."
    ),
    clause="A.1, A.3, A.4, A.5, A.6",
    covers=("R-092",),
)
NUMBERS = {
    "DET": "DeviceElementObjectId",
    "DPD": "DeviceProcessDataObjectId",
    "DPT": "DevicePropertyObjectId",
    "DVP": "DeviceValuePresentationObjectId",
}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each further object of a number."""
    for device in devices(subject):
        first: dict[int, Element] = {}
        for element in device.element.elements():
            number = integer(element, NUMBERS[element.tag]) if element.tag in NUMBERS else None
            if number is None:
                continue
            other = first.setdefault(number, element)
            if other is not element:
                place = subject.place(element)
                yield RULE.at(place, number=number, tag=element.tag, other=other.tag, other_line=other.line)
