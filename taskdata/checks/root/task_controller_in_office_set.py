"""A set of the office names a task controller.

What it checks
    That a set whose DataTransferOrigin is 1 has neither manufacturer nor version of a task controller.
Why it matters
    The two contradict each other. A receiver may take the set for one that comes back from a machine, or keep the
    name of a terminal that never saw it.
Example
    Bad: TaskControllerManufacturer="..." DataTransferOrigin="1"
    Good: DataTransferOrigin="1" and no word of a task controller.
How to fix
    Remove the two attributes, or state the machine as origin if it wrote the set last.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="root.task-controller-in-office-set",
    severity=Severity.WARNING,
    message="The set comes from the office, but has {name} '{found}'.",
    remedy="Remove the attribute, or state the machine as origin if it wrote the set last.",
    clause="D.32",
    covers=("R-022",),
)
NAMES = ("TaskControllerManufacturer", "TaskControllerVersion")


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each of the two attributes that is there."""
    if subject.document is None or subject.document.origin != "FMIS":
        return
    root = subject.document.root
    for name in NAMES:
        found = root.get(name)
        if found is not None:
            yield RULE.at(subject.place(root), name=name, found=found)
