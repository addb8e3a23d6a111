"""The way to ask for a device's default set is described wrongly.

What it checks
    That where process data (DPD) belong to the default set, those of DDI DFFF have the trigger methods 31 and are
    referred to from element 0, and from no other.
Why it matters
    A terminal that asks element 0 for the default set gets no answer, and nothing is logged.
Example
    Bad: <DPD A="4" B="DFFF" C="0" D="1"/>
    Good: <DPD A="4" B="DFFF" C="0" D="31"/> and <DOR A="4"/> in the element 0 alone.
How to fix
    Load the device description from the machine again; if the fault is in it, its manufacturer has to correct it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import (
    DEFAULT_REQUEST,
    DEFAULT_SET,
    EVERY_TRIGGER,
    Device,
    DevicePart,
    Value,
    devices,
)
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.phrases import phrase

RULE = Rule(
    id="device.wrong-default-request",
    severity=Severity.ERROR,
    message="The request for the default set (DFFF) of {element} is wrong: {reason}.",
    remedy="Set its trigger methods to 31, and refer to it only from element 0.",
    clause="6.8.4",
    covers=("R-101",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each DFFF with other triggers or at another element."""
    for device in devices(subject):
        if any(value.flags & DEFAULT_SET for value in device.values):
            for value, users in _requests(device).items():
                reason = "; ".join(_faults(value, users))
                if reason:
                    yield RULE.at(subject.place(value.element), element=spoken(device.element), reason=reason)


def _requests(device: Device) -> dict[Value, list[DevicePart]]:
    """Return each DFFF of a device with the elements that refer to it."""
    users: dict[Value, list[DevicePart]] = {value: [] for value in device.values if value.ddi == DEFAULT_REQUEST}
    for part in device.parts:
        for value in part.of(DEFAULT_REQUEST):
            users[value].append(part)
    return users


def _faults(value: Value, users: list[DevicePart]) -> Iterator[str]:
    """Say what is wrong with one DFFF."""
    if value.is_property:
        yield phrase("it is a property (DPT)")
    elif value.triggers != EVERY_TRIGGER:
        yield phrase(
            "its trigger methods are {triggers} instead of {every_trigger}",
            triggers=value.triggers,
            every_trigger=EVERY_TRIGGER,
        )
    if not any(part.number == 0 for part in users):
        yield phrase("element 0 does not refer to it")
    others = ", ".join(spoken(part.element) for part in users if part.number != 0)
    if others:
        yield phrase("{others} refers to it", others=others)
