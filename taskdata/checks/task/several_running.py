"""More than one task is running.

What it checks
    That at most one task (TSK) of a set has the status running. A task controller works on one task at a time.
Why it matters
    The terminal continues one of them, or none: times, totals and logs go to a task that nobody chose.
Example
    Bad: <TSK A="TSK1" G="2"/> and <TSK A="TSK2" G="2"/>
    Good: <TSK A="TSK1" G="3"/> (paused) and <TSK A="TSK2" G="2"/>
How to fix
    Set all but one to paused or completed.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.tasks import TaskStatus

RULE = Rule(
    id="task.several-running",
    severity=Severity.WARNING,
    message="{element} is running, and so is {other}; at most one task may be running.",
    remedy="Set all but one to paused or completed.",
    clause="6.1",
    covers=("R-109",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each running task after the first."""
    running = [item for item in subject.tagged("TSK") if integer(item, "TaskStatus") == TaskStatus.RUNNING]
    for element in running[1:]:
        yield RULE.at(subject.place(element), element=spoken(element), other=spoken(running[0]))
