"""Two elements of a device have one element number.

What it checks
    That the element numbers (DET, E) of a device (DVC) are unique. That they have to be is judged: element number and
    DDI together are the address of a value.
Why it matters
    A rate or a switching command reaches one of the two, and nobody knows which. Logged values of both are mixed up.
Example
    Bad: two DET with E="2" in one DVC.
    Good: E="2" and E="3"
How to fix
    Load the device description from the machine again, or give one of them a free number.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import DevicePart, devices
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.repeated-element-number",
    severity=Severity.WARNING,
    message="{element} has the element number {number}, which {other} already has.",
    remedy="Load the device description from the machine again, or give one of them a free number.",
    clause="A.3, B.3",
    covers=("R-094",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each further element of a number."""
    for device in devices(subject):
        first: dict[int, DevicePart] = {}
        for part in device.parts:
            if part.number is None:
                continue
            other = first.setdefault(part.number, part)
            if other is not part:
                place = subject.place(part.element)
                yield RULE.at(place, element=spoken(part.element), number=part.number, other=spoken(other.element))
