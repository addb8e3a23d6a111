"""A task holds two operations.

What it checks
    That a task (TSK) names one cultural practice at most (OTP). The standard lists one for a task in one place and
    speaks of several in another, so more than one is worth a warning but is not an error.
Why it matters
    Programs take the first or the last of them: the work is booked as sowing by one and as spraying by the other.
Example
    Bad: <OTP A="CPC1"/><OTP A="CPC2"/> in one task.
    Good: a task for each.
How to fix
    Make a task for each operation.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="task.several-operations",
    severity=Severity.WARNING,
    message="{element} holds {count} operations: {found}.",
    remedy="Make a task for each operation.",
    clause="D.46, D.27",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such task, at its second operation."""
    for task in subject.tagged("TSK"):
        operations = list(task.elements("OTP"))
        if len(operations) > 1:
            found = ", ".join(item.get("CulturalPracticeIdRef") or "without a practice" for item in operations)
            yield RULE.at(subject.place(operations[1]), element=spoken(task), count=len(operations), found=found)
