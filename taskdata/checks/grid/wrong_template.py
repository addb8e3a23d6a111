"""A grid does not tell what its values mean.

What it checks
    That a type 2 grid names a treatment zone of the same task that lists at least one setpoint and has no polygon,
    and that a type 1 grid names none.
Why it matters
    The values of a type 2 grid are bare numbers; the setpoints of that zone say what to apply and in which unit.
Example
    Bad: <GRD ... I="2" J="7"/> in a task without a zone 7.
    Good: <TZN A="7"><PDV A="0006" B="0"/></TZN> in the same task.
How to fix
    Name the right zone, or export the map again. Do not work with the map as it is.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.tasks import Grid, Task
from taskdata.phrases import phrase

RULE = Rule(
    id="grid.wrong-template",
    severity=Severity.ERROR,
    message="The type {kind} grid {file} of {task} {what}.",
    remedy="Name the treatment zone that lists the setpoints of the grid, or export the map again.",
    clause="8.6.2",
    covers=("R-159", "R-160", "R-163"),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each grid whose template zone is missing, useless or not allowed."""
    for task, grid in subject.grids:
        what = _fault(task, grid)
        if what is not None:
            yield RULE.at(grid.place, kind=grid.kind, file=grid.file, task=task.id, what=what)


def _fault(task: Task, grid: Grid) -> str | None:
    if grid.kind == 1:
        return (
            None
            if grid.template is None
            else phrase("names the treatment zone {template}, which only type 2 does", template=grid.template)
        )
    if grid.template is None:
        return phrase("names no treatment zone")
    zone = next((zone for zone in task.zones if zone.code == grid.template), None)
    if zone is None:
        return phrase("names the treatment zone {template}, which the task does not have", template=grid.template)
    if not zone.setpoints:
        return phrase("names the treatment zone {template}, which lists no setpoint", template=grid.template)
    return (
        phrase("names the treatment zone {template}, which has a polygon of its own", template=grid.template)
        if zone.areas
        else None
    )
