"""A field holds the polygon of a treatment zone.

What it checks
    That no polygon (PLN) directly in a field (PFD) is of the type treatment zone (2): shapes of a field have nothing to
    do with treatment zones.
Why it matters
    The zones of a task say what to apply where. A polygon in the field carries no rate: terminals ignore it, and the
    driver believes that the map was sent.
Example
    Bad: <PFD ...><PLN A="2">...</PLN></PFD>
    Good: <TSK ...><TZN A="1"><PLN A="2">...</PLN><PDV .../></TZN></TSK>
How to fix
    Move the polygon to a treatment zone of a task, or correct its type.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="field.treatment-zone-polygon",
    severity=Severity.WARNING,
    message="{element} holds a treatment zone polygon (2), which belongs in a task.",
    remedy="Move the polygon to a treatment zone of a task, or correct its type.",
    clause="D.37",
    covers=("R-081",),
)
TREATMENT_ZONE = 2


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each polygon of a treatment zone directly in a field."""
    for element in subject.tagged("PFD"):
        for polygon in element.elements("PLN"):
            if integer(polygon, "PolygonType") == TREATMENT_ZONE:
                yield RULE.at(subject.place(polygon), element=spoken(element))
