"""A structure label holds the byte FF.

What it checks
    That none of the last seven bytes of the structure label of a device (DVC) is FF: each is 00 to FE.
Why it matters
    Terminals take the label as the key under which they keep the description. FF is reserved there: the description may
    be loaded again each time, or never.
Example
    Bad: F="FF020304050607"
    Good: F="01020304050607"
How to fix
    Load the device description from the machine again; if the fault is in it, its manufacturer has to choose another
    label.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._labels import label_octets
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.reserved-label-octet",
    severity=Severity.WARNING,
    message="One of the last seven bytes of the structure label {text} of {element} is FF, which is reserved.",
    remedy="Choose a label whose last seven bytes are each 00 to FE.",
    clause="D.19",
    covers=("R-104",),
)
LAST = 7


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each structure label with FF among its last bytes."""
    for element in subject.tagged("DVC"):
        octets = label_octets(element, "DeviceStructureLabel")
        if 0xFF in octets[-LAST:]:
            yield RULE.at(subject.place(element), text=octets.hex().upper(), element=spoken(element))
