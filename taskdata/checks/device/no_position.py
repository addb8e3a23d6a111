"""A connector or the antenna does not say where it is.

What it checks
    That each device element (DET) of the type connector (6) or navigation reference (7) gives its offsets x, y and z,
    as property or process data, even where they are 0. The numbers of the DDIs (0086, 0087, 0088) are from memory, and
    that z is needed is judged; hence only a warning.
Why it matters
    The place of sections and hitched machines is worked out from these offsets. A metre missed is a metre of overlap or
    gap at each turn.
Example
    Bad: a DET of type 6 that refers to a DPT of DDI 0086 only.
    Good: references to DPT of DDI 0086, 0087 and 0088, each 0 if need be.
How to fix
    Measure and enter the offsets on the machine, and load its device description again.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import CONNECTOR, NAVIGATION, OFFSET_X, OFFSET_Y, OFFSET_Z, parts
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.no-position",
    severity=Severity.WARNING,
    message="{element} ({kind}) does not state its offset {what}.",
    remedy="Enter the offsets on the machine and load its device description again; enter 0 where one is 0.",
    clause="A.3, F.3.4",
    covers=("R-108", "R-220"),
)
KINDS = {CONNECTOR: "connector", NAVIGATION: "navigation reference"}
AXES = {"x": OFFSET_X, "y": OFFSET_Y, "z": OFFSET_Z}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each connector and navigation reference without all its offsets."""
    for part in parts(subject):
        if part.kind in KINDS and part.complete:
            what = ", ".join(name for name, ddi in AXES.items() if not part.of(ddi))
            if what:
                place = subject.place(part.element)
                yield RULE.at(place, element=spoken(part.element), kind=KINDS[part.kind], what=what)
