"""Device elements by their identifier, for rules on what tasks say of them."""

from __future__ import annotations

from taskdata.checks._once import once
from taskdata.checks.device._devices import DevicePart, devices
from taskdata.checks.subject import Subject

MESSAGE, DEFAULT_SET = 0xDFFE, 0xDFFF
"""DDIs that name no quantity: a value out of a network message, the default set of a device."""


def part(subject: Subject, identifier: str | None) -> DevicePart | None:
    """Return the device element (DET) with an identifier, None where the set has none."""
    return _by_id(subject).get(identifier) if identifier else None


@once
def _by_id(subject: Subject) -> dict[str, DevicePart]:
    """Return the first device element of each identifier."""
    found: dict[str, DevicePart] = {}
    for device in devices(subject):
        for item in device.parts:
            found.setdefault(item.element.id or "", item)
    return found


def described(subject: Subject, identifier: str | None) -> DevicePart | None:
    """Return the device element, None where its description does not tell all values that it has.

    That is so where a reference of it cannot be read, and where its whole device describes no value.
    """
    found = part(subject, identifier)
    if found is None or not found.complete or found.element.parent is None:
        return None
    owner = found.element.parent
    return found if any(True for tag in ("DPD", "DPT") for _ in owner.elements(tag)) else None
