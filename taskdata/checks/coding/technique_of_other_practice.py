"""A task uses an operation technique that its cultural practice does not list.

What it checks
    That the technique of a task (OTP) is among those that the cultural practice (CPC) it names lists (OTR). That it has
    to be is judged: the standard only says what the list is for.
Why it matters
    A terminal that offers the listed techniques cannot show the one chosen, and the work is booked under another.
Example
    Bad: <OTP A="CPC1" B="OTQ2"/> while CPC1 lists OTQ1 alone.
    Good: <OTP A="CPC1" B="OTQ1"/>
How to fix
    Choose a listed technique, or add the technique to the practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import referred, spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element

RULE = Rule(
    id="coding.technique-of-other-practice",
    severity=Severity.WARNING,
    message="The technique {target} is not among those that the practice {parent} lists.",
    remedy="Choose a technique that the practice lists, or add this one to it.",
    clause="D.36, D.15",
    covers=("R-077",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each technique that its practice does not list."""
    listed: dict[Element, set[str | None]] = {}
    for element in subject.tagged("OTP"):
        practice = referred(subject, element, "CulturalPracticeIdRef")
        technique = referred(subject, element, "OperationTechniqueIdRef")
        if practice is None or technique is None:
            continue
        if practice not in listed:
            listed[practice] = {item.get("OperationTechniqueIdRef") for item in practice.elements("OTR")}
        if technique.id not in listed[practice]:
            yield RULE.at(subject.place(element), target=technique.id, parent=spoken(practice))
