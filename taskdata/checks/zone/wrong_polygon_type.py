"""The polygon of a treatment zone is of another type.

What it checks
    That the polygons (PLN) of a treatment zone (TZN) are of type 2, treatment zone.
Why it matters
    A terminal that looks for that type finds no area for the zone and applies the default rate.
Example
    Bad: <TZN A="2"><PLN A="1"> ...
    Good: <TZN A="2"><PLN A="2"> ...
How to fix
    Set the type to 2.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.shapes import AreaKind

RULE = Rule(
    id="zone.wrong-polygon-type",
    severity=Severity.WARNING,
    message="A polygon of treatment zone {code} has the type {found}; it must be {wanted}.",
    remedy="Set the type to {wanted}.",
    clause="D.50",
    covers=("R-152",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each polygon of a zone that is of another type."""
    for zone in subject.tagged("TZN"):
        for polygon in zone.elements("PLN"):
            found, wanted = integer(polygon, "PolygonType"), int(AreaKind.TREATMENT_ZONE)
            if found is not None and found != wanted:
                code = integer(zone, "TreatmentZoneCode")
                yield RULE.at(subject.place(polygon), code=code, found=found, wanted=wanted)
