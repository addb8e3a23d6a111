"""A boom does not report whether it works.

What it checks
    That each boom, sub-booms left out, has the actual work state (DDI 008D) as process data that are reported on
    change.
Why it matters
    Worked and unworked ground cannot be told apart in the log, and area and amount are counted on the headland, too.
Example
    Bad: a boom without DDI 008D, or with <DPD ... B="008D" C="1" D="1"/>
    Good: <DPD A="26" B="008D" C="1" D="8"/>
How to fix
    Load the device description from the machine again; if the fault is in it, tell work by the rate or the section
    states.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.boom._booms import booms_of
from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import ON_CHANGE, devices
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="boom.no-work-state",
    severity=Severity.WARNING,
    message="The boom {element} has no actual work state that is reported on change.",
    remedy='Add the actual work state (008D) with the trigger method "on change" to the boom.',
    clause="F.3.4",
    covers=("R-227",),
    since=3,
)
WORK_STATE = 141


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each boom without work state; one above it counts for a sub-boom."""
    for device in devices(subject):
        found = booms_of(device)
        for boom in device.parts:
            if boom not in found or any(upper in found for upper in boom.ancestors()):
                continue
            if boom.complete and not any(value.triggers & ON_CHANGE for value in boom.of(WORK_STATE)):
                yield RULE.at(subject.place(boom.element), element=spoken(boom.element))
