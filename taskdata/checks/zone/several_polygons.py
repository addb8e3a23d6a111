"""A treatment zone has several polygons in a version that knows one.

What it checks
    That a treatment zone (TZN) of a set of version 2 or 3 has at most one polygon (PLN). From version 4 on it may have
    several.
Why it matters
    A terminal of that time keeps one of them. On the rest of the zone the default rate is applied.
Example
    Bad: two <PLN A="2"> in one <TZN A="1"> of a set of version 3.3.
    Good: one <PLN A="2"> with an outer ring for each part, or two zones.
How to fix
    Join the parts in one polygon with several outer rings, make a zone of each, or write version 4.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="zone.several-polygons",
    severity=Severity.ERROR,
    message="Treatment zone {code} has {count} polygons; version {version} allows one.",
    remedy="Join the parts in one polygon with several outer rings, make a zone of each, or write version 4.",
    clause="D.50",
    covers=("R-149",),
    until=3,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each zone with several polygons, at the second."""
    for zone in subject.tagged("TZN"):
        polygons = list(zone.elements("PLN"))
        if len(polygons) > 1:
            code = integer(zone, "TreatmentZoneCode")
            yield RULE.at(subject.place(polygons[1]), code=code, count=len(polygons), version=subject.major)
