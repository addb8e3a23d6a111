"""Treatment zones set a value that no machine applies.

What it checks
    That the setpoints (PDV) of the zones of a task lie in the range of the data dictionary and within bounds that no
    machine leaves. The bounds are common practice, such as 80,000 L/ha; many ranges are from memory. All zones of a
    task that leave one bound are reported together.
Why it matters
    The machine applies what it is told, or refuses the task in the field. Most likely a unit was mistaken, or a sign.
Example
    Bad: <PDV A="0001" B="2000000000"/>, 200,000 L/ha; B="-20000".
    Good: <PDV A="0001" B="2000000"/>, 200 L/ha.
How to fix
    Compare with the product label and correct the unit or the value. Do not work with the map until then.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.tasks import Task, Zone
from taskdata.quantities.dictionary import entry
from taskdata.quantities.plausible import Limits, crossed, left, shown

RULE = Rule(
    id="setpoint.unlikely-value",
    severity=Severity.WARNING,
    message="{name} of {count} of the {total} zones of {task}, such as {value}, cannot be right; {limit} is {what}.",
    remedy="Compare with the product label and correct the unit or the value; do not work with the map until then.",
    clause="D.41",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each task, quantity and bound that is left, at the first such zone."""
    for task in subject.dataset.tasks:
        for (ddi, what, limits), found in _beyond(task).items():
            zone, raw = found[0]
            facts = {"value": shown(raw, ddi), "limit": crossed(limits, raw, ddi), "what": what, "task": task.id}
            counts = {"count": str(len(found)), "total": str(len(task.zones))}
            yield RULE.at(zone.place, severity=None, name=entry(ddi).plain_name, **counts, **facts)


def _beyond(task: Task) -> dict[tuple[int, str, Limits], list[tuple[Zone, int]]]:
    """Return zones and raw values by quantity, the kind of the bound that they leave, and that bound."""
    found: dict[tuple[int, str, Limits], list[tuple[Zone, int]]] = {}
    for zone in task.zones:
        for setpoint in zone.setpoints:
            bound = left(setpoint.ddi, setpoint.value)
            if bound is not None:
                found.setdefault((setpoint.ddi, *bound), []).append((zone, setpoint.value))
    return found
