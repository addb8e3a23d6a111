"""The receiver does not take grids of this type.

What it checks
    That grids are of a type that the profile of the receiver does not refuse (takes.grid_type_1 zone codes,
    takes.grid_type_2 setpoints).
Why it matters
    The terminal refuses the task, or works the whole field at the default rate.
Example
    Bad: a grid of setpoints (type 2) for a terminal that takes grids of zone codes only.
    Good: the same map as a grid of zone codes (type 1).
How to fix
    Make the map again in the other type, or as polygon zones if the terminal accepts those.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import against, refused
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="receiver.grid-not-taken",
    severity=Severity.ERROR,
    message=(
        "{receiver} does not accept grids of type {type}{basis}; the task {task} would be refused, or worked at one "
        "rate."
    ),
    remedy="Convert the set with [[convert(receiver)]] to a form that it accepts, or make the map again.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each grid of a refused type."""
    for task, grid in subject.grids:
        entry = f"takes.grid_type_{grid.kind}"
        if refused(subject, entry):
            yield against(subject, RULE, entry, grid.place, type=grid.kind, task=task.name or task.id)
