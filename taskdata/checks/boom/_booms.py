"""Which device elements are booms, and what lies across them.

A boom here (judged from F.3.4) is a device or function element with sections directly below it, a function element that
gives a working width, or a function element with another boom below it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.device._devices import (
    ACTUAL_WIDTH,
    DEFAULT_WIDTH,
    DEVICE,
    FUNCTION,
    MAXIMUM_WIDTH,
    SECTION,
    SETTABLE,
    Device,
    DevicePart,
    Value,
    devices,
)
from taskdata.checks.subject import Subject
from taskdata.quantities.dictionary import entry

WIDTHS = (ACTUAL_WIDTH, MAXIMUM_WIDTH, DEFAULT_WIDTH)
"""DDIs that give the width of a section, the first one given counts (F.3.5)."""


def booms(subject: Subject) -> Iterator[DevicePart]:
    """Yield every boom and sub-boom, device by device, in document order."""
    for device in devices(subject):
        found = booms_of(device)
        yield from (part for part in device.parts if part in found)


def booms_of(device: Device) -> set[DevicePart]:
    """Return the booms and sub-booms of one device."""
    own = {part for part in device.parts if _carries_work(part)}
    above = {upper for part in own for upper in part.ancestors() if part.kind == FUNCTION and upper.kind == FUNCTION}
    return own | above


def sections(part: DevicePart) -> list[DevicePart]:
    """Return the sections directly below an element."""
    return [child for child in part.children if child.kind == SECTION]


def setpoint_rates(part: DevicePart) -> list[Value]:
    """Return the rates that a task controller may command at an element."""
    return [value for value in part.values if value.flags & SETTABLE and is_rate(value, "setpoint")]


def is_rate(value: Value, *kinds: str) -> bool:
    """Tell whether a value is a rate of one of these kinds (setpoint, actual) by the data dictionary."""
    if value.ddi is None:
        return False
    known = entry(value.ddi)
    return known.group == "rate" and known.kind in kinds


def _carries_work(part: DevicePart) -> bool:
    if part.kind == FUNCTION and part.of(*WIDTHS):
        return True
    return part.kind in {DEVICE, FUNCTION} and bool(sections(part))
