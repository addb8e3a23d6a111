"""A treatment zone is never used.

What it checks
    That every treatment zone (TZN) has a polygon, or is named by its task as the zone for the field, for lost position
    or for outside the field, or by its grid as template, or occurs in a type 1 grid. Tasks whose grid cannot be read,
    or names no zone as it should, are not checked. Judged.
Why it matters
    Its rate is applied nowhere. Often the zone should have been the default, or the map lost its polygon.
Example
    Bad: <TSK A="TSK1" G="1"><TZN A="1"><PDV .../></TZN></TSK>
    Good: the same with H="1" in the task.
How to fix
    Name the zone where it belongs, add its polygon, or remove it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.geometry.arrays import distinct
from taskdata.model.tasks import Task

RULE = Rule(
    id="zone.unused",
    severity=Severity.WARNING,
    message="Treatment zone {code} of {task} has no polygon, and neither the task nor a grid refers to it.",
    remedy="Name the zone where it belongs, add its polygon, or remove it.",
    clause="D.50",
    covers=("R-154",),
)
BY_CODE = 1


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each zone that nothing uses."""
    described = {element.nearest_id() for element in subject.tagged("GRD")}
    shaped = {_spot(subject.place(zone)) for zone in subject.tagged("TZN") if next(zone.elements("PLN"), None)}
    for task in subject.dataset.tasks:
        if task.id in described and task.grid is None:
            continue
        named = {task.default_zone, task.position_lost_zone, task.out_of_field_zone}
        loose = [zone for zone in task.zones if zone.code not in named and _spot(zone.place) not in shaped]
        in_grid = _in_grid(task) if loose else set()
        for zone in loose:
            if in_grid is not None and zone.code not in in_grid:
                yield RULE.at(zone.place, code=zone.code, task=task.id)


def _in_grid(task: Task) -> set[int] | None:
    """Return the codes that the grid of a task names; None where that cannot be told."""
    if task.grid is None:
        return set()
    if task.grid.kind != BY_CODE:
        template = task.grid.template
        return {template} if template in {zone.code for zone in task.zones} else None
    cells = task.grid.cells
    return None if cells is None else {int(code) for code in distinct(cells)}


def _spot(place: Place) -> tuple[str | None, str | None]:
    return place.file, place.path
