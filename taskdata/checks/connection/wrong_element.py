"""A connection joins something that is no connector of its device.

What it checks
    That both ends of a connection (CNN) name an element of the device beside it, and that this element is of type 6,
    connector.
Why it matters
    Where the machine works relative to the antenna is computed over the connectors. With a wrong end every position of
    the implement is off, and sections switch at the wrong place.
Example
    Bad: <CNN A="DVC1" B="DET202" .../>, where DET202 belongs to DVC2.
    Good: B="DET103", a connector of DVC1.
How to fix
    Name the connectors that join the two devices.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, referred, spoken
from taskdata.checks.device._devices import CONNECTOR
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.phrases import phrase

RULE = Rule(
    id="connection.wrong-element",
    severity=Severity.ERROR,
    message="A connection names {target} of {parent}, which is not a {wanted}.",
    remedy="Name the connectors that join the two devices.",
    clause="D.11",
    covers=("R-121",),
)
ENDS = (("DeviceIdRef_0", "DeviceElementIdRef_0"), ("DeviceIdRef_1", "DeviceElementIdRef_1"))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each end at another device or another kind of element."""
    for connection in subject.tagged("CNN"):
        for device_name, element_name in ENDS:
            device, element = referred(subject, connection, device_name), referred(subject, connection, element_name)
            if device is None or element is None:
                continue
            wanted = None
            if element.parent is not device:
                wanted = phrase("element of it")
            elif integer(element, "DeviceElementType") != CONNECTOR:
                wanted = phrase("connector")
            if wanted is not None:
                place = subject.place(connection)
                yield RULE.at(place, parent=spoken(device), target=spoken(element), wanted=wanted)
