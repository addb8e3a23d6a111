"""The receiver does not take treatment zones with polygons.

What it checks
    That treatment zones have no polygons for a receiver whose profile says that it does not accept them
    (takes.polygon_zones).
Why it matters
    The zones have no place on the terminal: the whole field is worked at the default rate, or the task is refused.
Example
    Bad: a TZN with a PLN.
    Good: the same map as a grid.
How to fix
    Make the map again as a grid, if the terminal accepts grids.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import against, refused
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="receiver.polygon-zones-not-taken",
    severity=Severity.ERROR,
    message=(
        "{receiver} does not accept treatment zones with polygons{basis}; {task} would be worked at one rate, or "
        "refused."
    ),
    remedy="Convert the set with [[convert(receiver)]] to a grid, if it accepts grids.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each task with such zones, at the first."""
    if not refused(subject, "takes.polygon_zones"):
        return
    for task in subject.dataset.tasks:
        zone = next((zone for zone in task.zones if zone.areas), None)
        if zone is not None:
            yield against(subject, RULE, "takes.polygon_zones", zone.place, task=task.name or task.id)
