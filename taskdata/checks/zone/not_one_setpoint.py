"""A treatment zone with a polygon has no setpoint or several.

What it checks
    That a treatment zone (TZN) of a set of version 4 that has polygons has exactly one setpoint (PDV) directly in it.
    Setpoints nested in it do not count (judged).
Why it matters
    Zones with polygons make up one layer for one material and one setpoint. A terminal takes the first, or refuses the
    map: the second product is not applied. Without one nobody knows what to apply there.
Example
    Bad: <TZN A="2"> with a <PLN A="2"> and two <PDV .../>
    Good: two zones with the same polygon and one <PDV .../> each.
How to fix
    Make a zone for each setpoint.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="zone.not-one-setpoint",
    severity=Severity.ERROR,
    message="Treatment zone {code} has a polygon and {count} setpoints; it needs exactly one.",
    remedy="Make a zone for each setpoint.",
    clause="6.8.1.2, D.50",
    covers=("R-150",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each zone with polygons and another number of setpoints."""
    for zone in subject.tagged("TZN"):
        if next(zone.elements("PLN"), None) is not None:
            count = sum(1 for _ in zone.elements("PDV"))
            if count != 1:
                yield RULE.at(subject.place(zone), code=integer(zone, "TreatmentZoneCode"), count=count)
