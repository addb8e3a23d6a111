"""A task has several planned times.

What it checks
    That a task (TSK) has at most one time (TIM) of type 1, planned.
Why it matters
    A terminal shows one of them, and not every one the same: the driver comes at the wrong time.
Example
    Bad: two <TIM ... D="1"/> in one task.
    Good: one, from the beginning to the end of what is planned.
How to fix
    Keep one, or make a task of each.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.subject import Subject
from taskdata.checks.time._times import PLANNED
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="time.several-planned",
    severity=Severity.WARNING,
    message="{element} is planned for {count} times; one is allowed.",
    remedy="Keep one, or make a task of each.",
    clause="D.48",
    covers=("R-139",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each task with several planned times, at the second."""
    for task in subject.tagged("TSK"):
        planned = [time for time in task.elements("TIM") if integer(time, "Type") == PLANNED]
        if len(planned) > 1:
            yield RULE.at(subject.place(planned[1]), element=spoken(task), count=len(planned))
