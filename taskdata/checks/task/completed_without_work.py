"""A task is completed, but nothing tells what was done.

What it checks
    That a completed task (TSK) in an office set holds a time (TIM) other than a planned one, or a time log (TLG). In a
    set from a machine task.no-time says it, and rules on files tell a log that is missing or empty.
Why it matters
    Nothing can be documented or invoiced from it, and nobody sees that the work is missing.
Example
    Bad: <TSK A="TSK1" G="4"/>
    Good: <TSK A="TSK1" G="4"><TIM A="2024-04-18T07:12:30" C="1051" D="4"/></TSK>
How to fix
    Enter the times, or set the status back to planned if the work was not done.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.subject import Subject
from taskdata.checks.time._times import PLANNED
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.tasks import TaskStatus

RULE = Rule(
    id="task.completed-without-work",
    severity=Severity.NOTE,
    message="{element} is completed, but holds no time and no log of the work.",
    remedy="Enter the times, or set the status back to planned if the work was not done.",
    clause="D.46",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such task."""
    if subject.document is None or subject.document.origin == "MICS":
        return
    completed = [task for task in subject.tagged("TSK") if integer(task, "TaskStatus") == TaskStatus.COMPLETED]
    for task in completed:
        kinds = {integer(time, "Type") for time in task.elements("TIM")}
        if not kinds - {PLANNED} and next(task.elements("TLG"), None) is None:
            yield RULE.at(subject.place(task), element=spoken(task))
