"""A structure label is longer than the version of the set knows.

What it checks
    That the structure label of a device (DVC) has seven bytes in sets of version 2 and 3. The extended label exists
    from version 4 on; it comes first of the seven bytes.
Why it matters
    A terminal of that time reads seven bytes from the front and takes them for the label: the description is not
    recognised.
Example
    Bad: F="0A0B11121314151617" in a set of version 3.3.
    Good: F="11121314151617"
How to fix
    Keep the last seven bytes, or write version 4.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._labels import label_octets
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.long-structure-label",
    severity=Severity.WARNING,
    message="The structure label {text} of {element} has {count} bytes; version {version} allows seven.",
    remedy="Keep the last seven bytes, or write version 4.",
    clause="D.19",
    covers=("R-104",),
    until=3,
)
LONGEST = 7


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each structure label of more than seven bytes."""
    for element in subject.tagged("DVC"):
        octets = label_octets(element, "DeviceStructureLabel")
        if len(octets) > LONGEST:
            text, count = octets.hex().upper(), len(octets)
            place = subject.place(element)
            yield RULE.at(place, text=text, element=spoken(element), count=count, version=subject.major)
