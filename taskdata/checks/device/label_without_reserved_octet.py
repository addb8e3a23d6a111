"""A localization label does not begin with FF.

What it checks
    That the first byte of the localization label of a device (DVC), as written, is FF. The bytes are written in
    reverse: the language is at the end.
Why it matters
    A label written the other way round is read as another language and other units.
Example
    Bad: G="656400000000FF"
    Good: G="FF000000006564"
How to fix
    Write the bytes in reverse order, FF first.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._labels import label_octets
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.label-without-reserved-octet",
    severity=Severity.WARNING,
    message="The localization label {text} of {element} begins with {found} instead of FF.",
    remedy="Write the bytes in reverse order, FF first.",
    clause="D.19",
    covers=("R-105",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each localization label with another first byte."""
    for element in subject.tagged("DVC"):
        octets = label_octets(element, "DeviceLocalizationLabel")
        if octets and octets[0] != 0xFF:
            found = f"{octets[0]:02X}"
            yield RULE.at(subject.place(element), text=octets.hex().upper(), element=spoken(element), found=found)
