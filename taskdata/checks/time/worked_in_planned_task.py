"""A time of an office says that work was done in a task that nobody has begun.

What it checks
    That in an office set every time (TIM) of a planned task is of type 1. What an office writes is planned; any other
    type must stem from an earlier return, which such a task cannot have had.
Why it matters
    The machine adds the time to what it works itself: hours and wages are too high.
Example
    Bad: <TSK A="TSK1" G="1"><TIM A="2024-04-18T07:00:00" C="14400" D="4"/></TSK>
    Good: D="1"
How to fix
    Write type 1.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.subject import Subject
from taskdata.checks.time._times import PLANNED
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.tasks import TaskStatus

RULE = Rule(
    id="time.worked-in-planned-task",
    severity=Severity.WARNING,
    message="A time of {element} is of type {type}, but the task has not begun and the office wrote the set.",
    remedy="Write type 1.",
    clause="D.48",
    covers=("R-139",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such time."""
    if subject.document is None or subject.document.origin != "FMIS":
        return
    for task in subject.tagged("TSK"):
        if integer(task, "TaskStatus") == TaskStatus.PLANNED:
            for time in task.elements("TIM"):
                kind = integer(time, "Type")
                if kind not in {None, PLANNED}:
                    yield RULE.at(subject.place(time), element=spoken(task), type=kind)
