"""An allocated device does not have the NAME that the allocation asks for.

What it checks
    That the device named in an allocation (DAN) agrees with the NAME given there: in all bits that the mask sets, or
    without a mask (judged) in all bits.
Why it matters
    The terminal looks for the NAME on the network, the office for the device: they mean two machines, and the work is
    booked on the wrong one.
Example
    Bad: <DAN A="A00C86000F623456" C="DVC2"/> and <DVC A="DVC2" D="A00C86000F629999" .../>
    Good: both with the same NAME, or a mask B="FFFFFFFFFFE00000" that leaves the serial number out.
How to fix
    Name the device that was used, or set the mask to the bits that matter.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from taskdata.checks.coding._reading import referred, spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="allocation.other-device",
    severity=Severity.WARNING,
    message="An allocation asks for the NAME {wanted} and names {target}, whose NAME is {found}.",
    remedy="Name the device that was used, or set the mask to the bits that matter.",
    clause="5.3, D.20",
    covers=("R-125",),
)
OCTETS = re.compile("[0-9A-Fa-f]{16}")
ALL_BITS = "F" * 16


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each allocation of a device with another NAME."""
    for allocation in subject.tagged("DAN"):
        device = referred(subject, allocation, "DeviceIdRef")
        if device is None:
            continue
        wanted, found = allocation.get("ClientNAMEValue") or "", device.get("ClientNAME") or ""
        mask = allocation.get("ClientNAMEMask") or ALL_BITS
        if not all(OCTETS.fullmatch(text) for text in (wanted, found, mask)):
            continue
        if (int(wanted, 16) ^ int(found, 16)) & int(mask, 16):
            yield RULE.at(subject.place(allocation), wanted=wanted, target=spoken(device), found=found)
