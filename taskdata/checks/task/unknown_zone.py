"""A task names a treatment zone that it does not have.

What it checks
    That the zones for the whole field, for lost position and for outside the field are codes of treatment zones (TZN)
    in the same task.
Why it matters
    Where position is lost or the field left, the machine should fall back to a known rate. Without one it keeps the
    last rate, or does what its manufacturer thought best.
Example
    Bad: <TSK A="TSK1" H="9" ...> with the zones 1 and 2.
    Good: H="1"
How to fix
    Add the zone with its setpoints, or name one that exists.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="task.unknown-zone",
    severity=Severity.ERROR,
    message="{name} of {element} is {code}, but the task has no treatment zone of that code.",
    remedy="Add the zone with its setpoints, or name one that exists.",
    clause="D.46",
    covers=("R-111",),
)
NAMES = ("DefaultTreatmentZoneCode", "PositionLostTreatmentZoneCode", "OutOfFieldTreatmentZoneCode")


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each zone that is named but missing."""
    for task in subject.tagged("TSK"):
        named = [(name, code) for name in NAMES if (code := integer(task, name)) is not None]
        known = {integer(zone, "TreatmentZoneCode") for zone in task.elements("TZN")} if named else set()
        for name, code in named:
            if code not in known:
                yield RULE.at(subject.place(task), name=name, element=spoken(task), code=code)
