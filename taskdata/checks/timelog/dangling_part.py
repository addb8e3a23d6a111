"""A logged value belongs to a device element that the set does not describe.

What it checks
    That the device element of every value (DLV) in the header of a time log is in the set.
Why it matters
    This is judged, since a header is a separate file: without the device element nobody knows which boom, section or
    tank the value was measured on, and its width and place are unknown.
Example
    Bad: <DLV A="0043" B="" C="DET-9"/> in a header, while no device of the set has DET-9.
    Good: the set holds the device with that element.
How to fix
    Copy the whole set of the machine, devices included.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="timelog.dangling-part",
    severity=Severity.WARNING,
    message="A value in the header {file} belongs to {target}, which is not a device element of the set.",
    remedy="Copy the whole set of the machine, devices included.",
    clause="8.6.3",
    covers=("R-203",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each value of a header whose device element is not in the set."""
    for file in subject.xml_files:
        for value in file.root.elements("DLV") if file.role == "header" else ():
            target = value.get("DeviceElementIdRef")
            if target is not None and all(found.tag != "DET" for found in subject.ids.get(target, [])):
                yield RULE.at(subject.place(value), file=file.name, target=target)
