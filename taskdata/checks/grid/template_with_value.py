"""The template zone of a grid has values of its own.

What it checks
    That the setpoints (PDV) of the zone that a type 2 grid names have the value 0. The standard says that they have no
    value, the type of the attribute demands one; 0 is judged. A zone that the task names for the field, for lost
    position or for outside it needs its values and is not checked.
Why it matters
    The values are ignored, the cells count. Somebody who reads the file may take them for the rate.
Example
    Bad: <PDV A="0006" B="20000"/> in the template zone.
    Good: <PDV A="0006" B="0"/>
How to fix
    Write 0.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="grid.template-with-value",
    severity=Severity.NOTE,
    message="The zone {code} of {task} is the template of the grid {file}; its value {value} is ignored.",
    remedy="Write 0.",
    clause="8.6.2",
    covers=("R-162",),
)
SETPOINTS = 2


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each template zone with a value other than 0, with the first such value."""
    for task, grid in subject.grids:
        named = {task.default_zone, task.position_lost_zone, task.out_of_field_zone}
        if grid.kind != SETPOINTS or grid.template is None or grid.template in named:
            continue
        zone = next((zone for zone in task.zones if zone.code == grid.template), None)
        value = None if zone is None else next((item.value for item in zone.setpoints if item.value), None)
        if zone is not None and value is not None:
            yield RULE.at(zone.place, code=zone.code, task=task.id, file=grid.file, value=value)
