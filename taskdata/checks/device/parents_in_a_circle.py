"""Device elements hang below each other in a circle.

What it checks
    That following the parents of a device element (DET) ends at 0, the device itself.
Why it matters
    A terminal that works its way up never arrives; many stop with an error. Where the parts are on the machine stays
    unknown.
Example
    Bad: <DET A="DET2" B="2" ... F="3"/> and <DET A="DET3" B="3" ... F="2"/>
    Good: <DET A="DET2" B="2" ... F="1"/> and <DET A="DET3" B="3" ... F="2"/>
How to fix
    Load the device description from the machine again, or name the element that each is mounted on.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import Device, DevicePart, devices
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.parents-in-a-circle",
    severity=Severity.ERROR,
    message="{element} is its own parent after {count} steps.",
    remedy="Load the device description from the machine again, or name the element that each is mounted on.",
    clause="D.21",
    covers=("R-093",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each circle, at its first element in the file."""
    for device in devices(subject):
        order = {part: position for position, part in enumerate(device.parts)}
        for circle in _circles(device):
            first = min(circle, key=lambda part: order[part])
            yield RULE.at(subject.place(first.element), element=spoken(first.element), count=len(circle))


def _circles(device: Device) -> Iterator[list[DevicePart]]:
    """Yield the elements of each circle; every element is walked over once."""
    walk_of: dict[DevicePart, int] = {}
    for number, start in enumerate(device.parts):
        way: list[DevicePart] = []
        node: DevicePart | None = start
        while node is not None and node not in walk_of:
            walk_of[node] = number
            way.append(node)
            node = node.parent
        if node is not None and walk_of[node] == number:
            yield way[way.index(node) :]
