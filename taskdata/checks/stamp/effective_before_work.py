"""An allocation took effect in a task that nobody has begun.

What it checks
    That an office set has no allocation stamp (ASP) of type 4 in a task that is planned or a template. What the office
    makes is of type 1; type 4 must stem from an earlier return, which a task not yet begun cannot have had.
Why it matters
    The machine takes the worker, device or product for already used, and counts it twice once it really is.
Example
    Bad: <TSK ... G="1"> <WAN ...> <ASP A="2024-04-18T07:00:00" D="4"/>
    Good: D="1"
How to fix
    Write type 1 for what is planned.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.tree.element import Element

RULE = Rule(
    id="stamp.effective-before-work",
    severity=Severity.WARNING,
    message="An allocation of {element} took effect at {at}, but the task has not begun and the office wrote the set.",
    remedy="Write type 1 for what is planned.",
    clause="D.2",
    covers=("R-064",),
)
EFFECTIVE = ("Effective",)
NOT_BEGUN = ("Planned", "Template")


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such stamp."""
    if subject.document is None or subject.document.origin != "FMIS":
        return
    effective, not_begun = _codes("ASP", "Type", EFFECTIVE), _codes("TSK", "TaskStatus", NOT_BEGUN)
    for element in subject.tagged("ASP"):
        task = _task(element) if element.get("Type") in effective else None
        if task is not None and task.get("TaskStatus") in not_begun:
            place, at = subject.place(element), element.get("Start") or "an unknown time"
            yield RULE.at(place, element=task.nearest_id() or task.tag, at=at)


def _task(element: Element) -> Element | None:
    node = element.parent
    while node is not None and node.tag != "TSK":
        node = node.parent
    return node


def _codes(tag: str, name: str, meanings: tuple[str, ...]) -> set[str]:
    values = elements()[tag].attributes[letter(tag, name)].values
    return {str(value.low) for value in values if value.name in meanings}
