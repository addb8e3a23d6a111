"""A control assignment names an element or a value that its device does not have.

What it checks
    That where the devices of an assignment (CAT) are in the set, source and user have elements with the numbers
    given, and that these offer the quantity (DDI) of the assignment: the source as control source, the user settable.
    A device counts as that of an assignment when NAME and structure label agree. Judged.
Why it matters
    The assignment cannot be restored: the sensor or computer that was to set the rate does not, and the machine keeps
    the rate of the task.
Example
    Bad: E="3" while the source has no element of number 3, or its element 3 does not send DDI 0001.
    Good: E="3", and that element refers to <DPD ... B="0001" C="4"/>.
How to fix
    Make the assignment again at the terminal, or export the devices as they are now.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.device._devices import SETTABLE, SOURCE, Device, devices, label
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element
from taskdata.quantities.dictionary import ddi_number

RULE = Rule(
    id="assignment.not-offered",
    severity=Severity.WARNING,
    message="A control assignment names element {number} of {target} as {kind}, {what}.",
    remedy="Make the assignment again at the terminal, or export the devices as they are now.",
    clause="D.12",
    covers=("R-124",),
    since=4,
)
SIDES = (("Source", SOURCE, "control source"), ("User", SETTABLE, "user"))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each side of an assignment that its device does not have."""
    for assignment in subject.tagged("CAT"):
        ddi = ddi_number((assignment.get("ProcessDataDDI") or "").strip())
        for side, flag, kind in SIDES:
            number = integer(assignment, f"{side}DeviceElementNumber")
            device = _device(subject, assignment, side)
            if device is None or ddi is None or number is None:
                continue
            what = _fault(device, number, ddi, flag)
            if what is not None:
                target = device.element.id or device.element.tag
                yield RULE.at(subject.place(assignment), number=number, target=target, kind=kind, what=what)


def _device(subject: Subject, assignment: Element, side: str) -> Device | None:
    wanted = (assignment.get(f"{side}ClientNAME"), assignment.get(f"{side}DeviceStructureLabel"))
    for device in devices(subject):
        found = (device.element.get("ClientNAME"), device.element.get("DeviceStructureLabel"))
        if all(a is not None and b is not None and a.upper() == b.upper() for a, b in zip(wanted, found, strict=True)):
            return device
    return None


def _fault(device: Device, number: int, ddi: int, flag: int) -> str | None:
    part = next((part for part in device.parts if part.number == number), None)
    if part is None:
        return "which the device does not have"
    if not part.complete or any(value.flags & flag for value in part.of(ddi)):
        return None
    return f"which does not offer {label(ddi)} for that"
