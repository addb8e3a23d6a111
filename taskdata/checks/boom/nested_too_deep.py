"""A sub-boom has sub-booms of its own.

What it checks
    That there is at most one level of sub-booms: a function element that is a boom is below at most one other boom.
Why it matters
    Terminals know booms and sub-booms. What lies deeper is not shown and not switched.
Example
    Bad: a boom with a sub-boom that has a sub-boom.
    Good: a boom with three sub-booms side by side.
How to fix
    Load the device description from the machine again; if the fault is in it, its manufacturer has to flatten it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.boom._booms import booms_of
from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import FUNCTION, devices
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="boom.nested-too-deep",
    severity=Severity.WARNING,
    message="{element} is a sub-boom of the sub-boom {parent}.",
    remedy="Describe the sub-booms side by side under one boom.",
    clause="F.3.4",
    covers=("R-229",),
    since=3,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each function element below two others that are booms."""
    for device in devices(subject):
        found = {part for part in booms_of(device) if part.kind == FUNCTION}
        for part in device.parts:
            above = list(part.ancestors()) if part in found else []
            in_circle = len(set(above)) < len(above)
            upper = [item for item in above if item in found]
            if len(upper) > 1 and not in_circle:
                yield RULE.at(
                    subject.place(part.element), element=spoken(part.element), parent=spoken(upper[0].element)
                )
