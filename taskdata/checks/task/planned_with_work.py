"""A planned task holds work.

What it checks
    That a task (TSK) of the status planned holds no records of a time log and, in a set from a machine, no effective
    time (TIM of type 4). In an office set such times are reported by time.worked-in-planned-task. Judged.
Why it matters
    The office plans the task again, and the machine does it a second time: the product is applied twice.
Example
    Bad: <TSK A="TSK1" G="1"> with a log of 600 records.
    Good: G="4" (completed) or G="3" (paused)
How to fix
    Find out whether the work is done, and set the status to paused or completed.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.subject import Subject
from taskdata.checks.time._times import EFFECTIVE
from taskdata.checks.timelog._watching import logged
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element
from taskdata.model.tasks import TaskStatus

RULE = Rule(
    id="task.planned-with-work",
    severity=Severity.WARNING,
    message="{element} is planned, but holds {what}.",
    remedy="Find out whether the work is done, and set the status to paused or completed.",
    clause="6.1",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each planned task with work in it, at the task."""
    planned = [task for task in subject.tagged("TSK") if integer(task, "TaskStatus") == TaskStatus.PLANNED]
    if not planned:
        return
    records = logged(subject)
    by_machine = subject.document is not None and subject.document.origin == "MICS"
    for task in planned:
        what = _work(task, records.get(task.id or "", 0), by_machine)
        if what is not None:
            yield RULE.at(subject.place(task), element=spoken(task), what=what)


def _work(task: Element, records: int, by_machine: bool) -> str | None:
    if records:
        return f"a log of {records} record{'s' * (records != 1)}"
    effective = any(integer(time, "Type") == EFFECTIVE for time in task.elements("TIM"))
    return "an effective time" if by_machine and effective else None
