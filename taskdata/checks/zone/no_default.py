"""A task with a map does not say what to apply where the map says nothing.

What it checks
    That a planned task with a grid or with zones that have polygons, in a field with a boundary, names its default zone
    (TSK.H), the zone for a lost position (TSK.I) and the zone outside the field (TSK.J).
Why it matters
    The standard leaves them optional, and terminals differ in what they do without: keep the last rate, apply 0, ask
    the driver, or stop.
Example
    Bad: <TSK A="TSK2" ... G="1"> with a grid.
    Good: <TSK A="TSK2" ... G="1" H="1" I="1" J="0"> with zones 1 and 0, where zone 0 sets the rate 0.
How to fix
    Name a zone for each case; often one with the usual rate for the first two, and one with 0 outside.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks._field_shapes import field_shape_of
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.tasks import Task, TaskStatus

RULE = Rule(
    id="zone.no-default",
    severity=Severity.NOTE,
    message="{task} has a map, but names no zone for {what}.",
    remedy="Name a treatment zone for each case: TSK.H, TSK.I, TSK.J.",
    clause="D.46",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each planned task in a field, with a map, that lacks one of the three."""
    for task in subject.dataset.tasks:
        mapped = task.grid is not None or any(zone.areas for zone in task.zones)
        missing = _missing(task)
        planned = task.status is TaskStatus.PLANNED and field_shape_of(subject, task.field) is not None
        if mapped and missing and planned:
            yield RULE.at(task.place, task=task.id, what=", ".join(missing))


def _missing(task: Task) -> list[str]:
    codes = {
        "places without a rate": task.default_zone,
        "a lost position": task.position_lost_zone,
        "work outside the field": task.out_of_field_zone,
    }
    return [what for what, code in codes.items() if code is None]
