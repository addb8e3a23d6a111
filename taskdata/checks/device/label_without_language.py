"""A localization label does not end with a language.

What it checks
    That the last two bytes of the localization label of a device (DVC) are the two letters of a language code, the
    first letter last. A label that does not begin with FF is reported by the rule device.label-without-reserved-octet
    alone.
Why it matters
    The terminal cannot tell in which language the machine's texts are, and asks for the description again.
Example
    Bad: G="FF000000000000"
    Good: G="FF000000006564", which is de: 64 is d, 65 is e.
How to fix
    Load the device description from the machine again, or write the language at the end.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._labels import label_octets
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.label-without-language",
    severity=Severity.WARNING,
    message="The localization label {text} of {element} ends with {found}, which is not a language code.",
    remedy="Write the two letters of the language at the end, the first letter last.",
    clause="D.19",
    covers=("R-105",),
)
LETTERS = 2


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each localization label without letters at its end."""
    for element in subject.tagged("DVC"):
        octets = label_octets(element, "DeviceLocalizationLabel")
        if octets[:1] == b"\xff" and not octets[-LETTERS:].isalpha():
            found = octets[-LETTERS:].hex().upper()
            yield RULE.at(subject.place(element), text=octets.hex().upper(), element=spoken(element), found=found)
