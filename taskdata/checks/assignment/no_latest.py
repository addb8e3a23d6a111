"""It cannot be told which of several control assignments counts.

What it checks
    That of several assignments (CAT) of one task with the same source, user and quantity (DDI) at most one lacks a
    stamp and no two begin at the same time. They form a history; the one with the latest stamp is restored.
Why it matters
    When the task is resumed, the machine may take its rate from a sensor or computer that was already let go.
Example
    Bad: two <CAT A="A0020000F6012345" B="A00C86000F623456" ... G="0001"/> without <ASP .../>
    Good: each with the <ASP .../> of its time.
How to fix
    Add the time stamps, or remove the assignments that no longer apply.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element

RULE = Rule(
    id="assignment.no-latest",
    severity=Severity.NOTE,
    message="Two control assignments of {element} for DDI {value} begin {at}, so neither is the latest.",
    remedy="Add the time stamps, or remove the assignments that no longer apply.",
    clause="D.12",
    covers=("R-123",),
    since=4,
)
FUNCTIONS = (
    "SourceClientNAME",
    "UserClientNAME",
    "SourceDeviceStructureLabel",
    "UserDeviceStructureLabel",
    "SourceDeviceElementNumber",
    "UserDeviceElementNumber",
    "ProcessDataDDI",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each assignment that begins together with an earlier one of its history."""
    seen: set[tuple[object, ...]] = set()
    for assignment in subject.tagged("CAT"):
        start = _start(assignment)
        history = (assignment.parent, start, *((assignment.get(name) or "").upper() for name in FUNCTIONS))
        if history in seen:
            place = subject.place(assignment)
            at = "at an unknown time" if start is None else f"at {start}"
            ddi = assignment.get("ProcessDataDDI")
            yield RULE.at(place, element=place.element or assignment.tag, value=ddi, at=at)
        seen.add(history)


def _start(assignment: Element) -> str | None:
    stamp = next(assignment.elements("ASP"), None)
    return None if stamp is None else stamp.get("Start")
