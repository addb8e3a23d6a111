"""A planned task asks for no log at all.

What it checks
    That a planned task (TSK) of the office which allocates a device of the set (DAN) has at least one log trigger
    (DLT). One with the DDI DFFF asks for what the device logs by default.
Why it matters
    A terminal may log nothing: no map and no totals come back.
Example
    Bad: <TSK A="TSK1" G="1"><DAN A="A00C86000F623456" C="DVC2"/></TSK>
    Good: the same with <DLT A="DFFF" B="31"/>
How to fix
    Add <DLT A="DFFF" B="31"/> where logs are wanted.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, referred, spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.tasks import TaskStatus

RULE = Rule(
    id="trigger.no-default-set",
    severity=Severity.NOTE,
    message="{element} allocates {target}, but has no log trigger; the terminal may log nothing.",
    remedy="Add a log trigger with the DDI DFFF if you want logs.",
    clause="6.8.4",
    covers=("R-133",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such task."""
    if subject.document is None or subject.document.origin != "FMIS":
        return
    for task in subject.tagged("TSK"):
        if integer(task, "TaskStatus") != TaskStatus.PLANNED or next(task.elements("DLT"), None) is not None:
            continue
        allocated = (referred(subject, item, "DeviceIdRef") for item in task.elements("DAN"))
        device = next((item for item in allocated if item is not None), None)
        if device is not None:
            yield RULE.at(subject.place(task), element=spoken(task), target=spoken(device))
