"""A device counts totals, but not the time they took.

What it checks
    That a device (DVC) with totals of the task gives the total time (DDI 0077) at element 0, and one with lifetime
    totals the lifetime total time (DDI 0112). Terminals for documentation and logging ask for these two; devices
    without totals are not judged, for the files do not tell what the device claims to be.
Why it matters
    Area without time gives no hours to bill and no rate of work.
Example
    Bad: a device whose only total is the area (0074).
    Good: also <DPD A="7" B="0077" C="2" D="17"/>, which element 0 refers to.
How to fix
    Nothing can be done in the files; the manufacturer of the machine may add the total.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import DEFAULT_REQUEST, SETTABLE, TOTAL, Device, devices, label
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.no-total-time",
    severity=Severity.NOTE,
    message="{element} counts totals, but not {what}.",
    remedy="Use the times of the task instead.",
    clause="F.2",
    covers=("R-231",),
    since=3,
)
TOTAL_TIME, LIFETIME_TIME = 119, 274


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each kind of total that a device counts without its time."""
    for device in devices(subject):
        for ddi in _missing(device):
            yield RULE.at(subject.place(device.element), element=spoken(device.element), what=label(ddi))


def _missing(device: Device) -> Iterator[int]:
    """Yield the times that are missing; the one of the task has to be at element 0."""
    totals = [value for value in device.values if value.triggers & TOTAL and value.ddi not in {None, DEFAULT_REQUEST}]
    settable = {bool(value.flags & SETTABLE) for value in totals}
    if True in settable and not any(
        part.of(TOTAL_TIME) or not part.complete for part in device.parts if part.number == 0
    ):
        yield TOTAL_TIME
    if False in settable and not any(value.ddi == LIFETIME_TIME for value in device.values):
        yield LIFETIME_TIME
