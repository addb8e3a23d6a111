"""A task was worked on, but no time tells when.

What it checks
    That a set written by a machine holds a time (TIM) other than a planned one in every task that is running, paused
    or completed. A machine that does not know the time is excused; the file does not show which one that is.
Why it matters
    Duration, totals and order of the work are missing: nothing can be invoiced or documented.
Example
    Bad: <TSK A="TSK1" G="4"/> in a set from a machine.
    Good: <TSK A="TSK1" G="4"><TIM A="2024-04-18T07:12:30" C="1051" D="4"/></TSK>
How to fix
    Check that the clock of the terminal runs. Enter the times of this task by hand.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.subject import Subject
from taskdata.checks.time._times import PLANNED
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.tasks import TaskStatus

RULE = Rule(
    id="task.no-time",
    severity=Severity.WARNING,
    message="A machine worked on {element}, but it holds no time.",
    remedy="Check that the clock of the terminal runs; enter the times by hand.",
    clause="D.46",
    covers=("R-115",),
)
WORKED = {TaskStatus.RUNNING, TaskStatus.PAUSED, TaskStatus.COMPLETED}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such task."""
    if subject.document is None or subject.document.origin != "MICS":
        return
    for task in subject.tagged("TSK"):
        kinds = {integer(time, "Type") for time in task.elements("TIM")}
        if integer(task, "TaskStatus") in WORKED and not kinds - {PLANNED}:
            yield RULE.at(subject.place(task), element=spoken(task))
