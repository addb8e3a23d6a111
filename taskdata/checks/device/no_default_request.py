"""A device has a default set of values, but no way to ask for it.

What it checks
    That a device (DVC) with process data (DPD) in the default set (property 1) has process data of DDI DFFF.
Why it matters
    A terminal asks for the default set by this DDI. Without it nothing is logged that no task asks for by name.
Example
    Bad: <DPD A="3" B="008D" C="1" D="8"/> alone.
    Good: also <DPD A="4" B="DFFF" C="0" D="31"/>, which element 0 refers to.
How to fix
    Load the device description from the machine again; if it lacks DFFF, its manufacturer has to add it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import DEFAULT_REQUEST, DEFAULT_SET, devices
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.no-default-request",
    severity=Severity.ERROR,
    message="{element} has {count} process data in the default set, but none of DDI DFFF to ask for it.",
    remedy="Add process data of DDI DFFF with trigger methods 31, and a reference to it from element 0.",
    clause="6.8.4",
    covers=("R-101",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each device with a default set and no DFFF."""
    for device in devices(subject):
        count = sum(value.flags & DEFAULT_SET for value in device.values)
        if count and not any(value.ddi == DEFAULT_REQUEST for value in device.values):
            yield RULE.at(subject.place(device.element), element=spoken(device.element), count=count)
