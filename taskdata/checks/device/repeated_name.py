"""Two devices have one NAME.

What it checks
    That no two devices (DVC) with different structure labels have the same NAME, which identifies a machine world-wide.
    The same machine in another build may be described so, therefore this is a note; the same description twice is
    reported by device.described-twice.
Why it matters
    A terminal that finds the machine by its NAME takes the first description: widths and sections may be those of the
    other build, or of another machine whose NAME was copied.
Example
    Bad: DVC1 and DVC2 with the same D, for two sprayers.
    Good: a NAME of its own for each machine.
How to fix
    If it is one machine, keep the description of the build in use. If there are two, ask their manufacturer.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Fact, Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element

RULE = Rule(
    id="device.repeated-name",
    severity=Severity.NOTE,
    message="{element} has the NAME {name}, like {other} on line {other_line}, with another structure label.",
    remedy="Keep the description that matches the machine in use; if there are two machines, ask the manufacturer.",
    clause="5.3",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each further device of a NAME."""
    first: dict[str, Element] = {}
    for element in subject.tagged("DVC"):
        name = (element.get("ClientNAME") or "").upper()
        other = first.setdefault(name, element) if name else element
        if other is not element and _label(other) != _label(element):
            facts: dict[str, Fact] = {"name": name, "other": spoken(other), "other_line": other.line}
            yield RULE.at(subject.place(element), severity=None, element=spoken(element), **facts)


def _label(element: Element) -> str:
    return (element.get("DeviceStructureLabel") or "").upper()
