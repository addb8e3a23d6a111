"""A set that a machine wrote does not say which task controller wrote it.

What it checks
    That a set whose DataTransferOrigin is 2 names the manufacturer and the version of its task controller.
Why it matters
    Without them nobody can tell which terminal wrote the set; known faults of one version cannot be told from others,
    and a strict receiver refuses the set.
Example
    Bad: DataTransferOrigin="2" and no TaskControllerManufacturer.
    Good: TaskControllerManufacturer="..." TaskControllerVersion="1.4" DataTransferOrigin="2"
How to fix
    Have the terminal write the set again, or state that the office wrote it last if that is so.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="root.no-task-controller",
    severity=Severity.ERROR,
    message="The set comes from a machine, but {name} is missing.",
    remedy="Have the terminal write the set again; state the office as origin if the office wrote it last.",
    clause="D.32",
    covers=("R-021",),
)
NAMES = ("TaskControllerManufacturer", "TaskControllerVersion")


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each of the two attributes that is missing."""
    if subject.document is None or subject.document.origin != "MICS":
        return
    root = subject.document.root
    for name in NAMES:
        if root.get(name) is None:
            yield RULE.at(subject.place(root), name=name)
