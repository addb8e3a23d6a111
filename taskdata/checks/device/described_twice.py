"""A machine is described twice in the same way.

What it checks
    That two devices (DVC) with one NAME, which identifies a machine world-wide, have different structure labels: the
    same machine in another build. That the labels have to differ is judged.
Why it matters
    Which of the two a log or a task means is not clear from the machine; its work is booked twice or not at all.
Example
    Bad: DVC1 and DVC2 with the same D and the same F.
    Good: one DVC, or two with different F.
How to fix
    Keep one of them, and correct the references to the other.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element

RULE = Rule(
    id="device.described-twice",
    severity=Severity.WARNING,
    message="{element} has the NAME {name} and the structure label {text}, like {other} on line {other_line}.",
    remedy="Keep one of them, and correct the references to the other.",
    clause="5.3, A.1",
    covers=("R-106",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each further device of the same NAME and structure label."""
    first: dict[tuple[str, str], Element] = {}
    for element in subject.tagged("DVC"):
        name, text = (element.get("ClientNAME") or "").upper(), (element.get("DeviceStructureLabel") or "").upper()
        other = first.setdefault((name, text), element) if name and text else element
        if other is not element:
            yield RULE.at(
                subject.place(element),
                element=spoken(element),
                name=name,
                text=text,
                other=spoken(other),
                other_line=other.line,
            )
