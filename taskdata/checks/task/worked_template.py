"""A template was worked on.

What it checks
    That a task (TSK) of the status template holds no effective time (TIM of type 4), no time log and, in a set from a
    machine, no effective allocation (ASP of type 4). A template is copied, the copy is worked on. Partly judged.
Why it matters
    The next task made of the template carries foreign work, and the work itself is missing where it was done.
Example
    Bad: <TSK A="TSK5" G="5"><TLG A="TLG00001" C="1"/></TSK>
    Good: a new task with the log, and the template as it was.
How to fix
    Move the work to a separate task.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.subject import Subject
from taskdata.checks.time._times import EFFECTIVE
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element
from taskdata.model.tasks import TaskStatus

RULE = Rule(
    id="task.worked-template",
    severity=Severity.WARNING,
    message="{element} is a template, but holds {what}.",
    remedy="Move the work to a separate task.",
    clause="6.1",
    covers=("R-116",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each template with work in it, at the first trace of it."""
    by_machine = subject.document is not None and subject.document.origin == "MICS"
    for task in subject.tagged("TSK"):
        if integer(task, "TaskStatus") == TaskStatus.TEMPLATE:
            for element in task.walk():
                what = _work(element, by_machine)
                if what is not None:
                    yield RULE.at(subject.place(element), element=spoken(task), what=what)
                    break


def _work(element: Element, by_machine: bool) -> str | None:
    """Return what kind of work an element shows; allocations of an office are left to stamp.effective-before-work."""
    if element.tag == "TLG":
        return "a time log"
    if element.tag == "TIM" and integer(element, "Type") == EFFECTIVE:
        return "an effective time"
    if element.tag == "ASP" and by_machine and integer(element, "Type") == EFFECTIVE:
        return "an effective allocation"
    return None
