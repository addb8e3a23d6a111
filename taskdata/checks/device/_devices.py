"""Device descriptions as rules see them: elements with what they refer to, and how they hang together.

Nothing here raises on bad input: what is no number is None, what leads nowhere is left out, and of two objects with the
same number the first counts. Other rules report each of these.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field

from taskdata.checks._once import once
from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.isoxml.tree.element import Element
from taskdata.quantities.dictionary import ddi_number, entry

DEVICE, FUNCTION, BIN, SECTION, UNIT, CONNECTOR, NAVIGATION = 1, 2, 3, 4, 5, 6, 7
"""Types of device elements (D.21)."""
DEFAULT_SET, SETTABLE, SOURCE = 1, 2, 4
"""Bits of the properties of process data (D.23)."""
ON_CHANGE, TOTAL, EVERY_TRIGGER = 8, 16, 31
"""Bits of the trigger methods of process data (D.23)."""
OFFSET_X, OFFSET_Y, OFFSET_Z = 134, 135, 136
"""DDIs of the place of an element, in mm from the device reference point (names from memory)."""
ACTUAL_WIDTH, DEFAULT_WIDTH, MAXIMUM_WIDTH = 67, 68, 70
"""DDIs of working widths, in mm."""
DEFAULT_REQUEST = 0xDFFF
"""The DDI that asks for the default set."""
_DEEPEST = 32


@dataclass(frozen=True, slots=True, eq=False)
class Value:
    """Process data (DPD) or a property (DPT): ``constant`` is the raw value of a property, flags are 0 there."""

    element: Element
    ddi: int | None
    constant: int | None = None
    flags: int = 0
    triggers: int = 0

    @property
    def is_property(self) -> bool:
        """Whether it is a constant (DPT)."""
        return self.element.tag == "DPT"


@dataclass(slots=True, eq=False)
class DevicePart:
    """A device element (DET) with the values it refers to and its neighbours in the tree.

    ``complete`` is False where a reference leads nowhere or to something that cannot be read: what such an element
    lacks cannot be told, and another rule reports the reference.
    """

    element: Element
    kind: int | None
    number: int | None
    object_id: int | None
    parent_id: int | None
    values: tuple[Value, ...]
    complete: bool = True
    parent: DevicePart | None = None
    children: list[DevicePart] = field(default_factory=list)

    def of(self, *ddis: int) -> list[Value]:
        """Return the values that this element refers to with one of these DDIs."""
        return [value for value in self.values if value.ddi in ddis]

    def constant(self, ddi: int) -> int | None:
        """Return the constant of a DDI, None where there is none or a log delivers the value."""
        found = self.of(ddi)
        return found[0].constant if len(found) == 1 else None

    def by_ddi(self) -> dict[int, list[Value]]:
        """Return the values by their DDI."""
        found: dict[int, list[Value]] = {}
        for value in self.values:
            if value.ddi is not None:
                found.setdefault(value.ddi, []).append(value)
        return found

    def ancestors(self) -> Iterator[DevicePart]:
        """Yield the elements above, from near to far; ends in a circle and in a tree without end, too."""
        node, steps = self.parent, 0
        while node is not None and steps < _DEEPEST:
            yield node
            node, steps = node.parent, steps + 1


@dataclass(frozen=True, slots=True, eq=False)
class Device:
    """A device (DVC): its elements, its process data and properties, and the numbers of its presentations."""

    element: Element
    parts: tuple[DevicePart, ...]
    values: tuple[Value, ...]
    presentations: frozenset[int]

    @property
    def roots(self) -> list[DevicePart]:
        """The elements of type device; there should be one."""
        return [part for part in self.parts if part.kind == DEVICE]


@once
def devices(subject: Subject) -> tuple[Device, ...]:
    """Return every device of the set; read once for all rules."""
    return tuple(_device(element) for element in subject.tagged("DVC"))


def parts(subject: Subject) -> Iterator[DevicePart]:
    """Yield every device element of every device."""
    for device in devices(subject):
        yield from device.parts


def label(ddi: int) -> str:
    """Return what to call a DDI in a message."""
    return f"{ddi:04X} ({entry(ddi).plain_name})"


def _device(element: Element) -> Device:
    values = [_process_data(item) for item in element.elements("DPD")]
    values += [_property(item) for item in element.elements("DPT")]
    pool: dict[int, Value] = {}
    for value in values:
        number = integer(value.element, _number_name(value.element.tag))
        if number is not None:
            pool.setdefault(number, value)
    shown = (integer(item, "DeviceValuePresentationObjectId") for item in element.elements("DVP"))
    found = tuple(_part(item, pool) for item in element.elements("DET"))
    _connect(found)
    return Device(element, found, tuple(values), frozenset(number for number in shown if number is not None))


def _number_name(tag: str) -> str:
    return "DeviceProcessDataObjectId" if tag == "DPD" else "DevicePropertyObjectId"


def _part(element: Element, pool: dict[int, Value]) -> DevicePart:
    numbers = [integer(item, "DeviceObjectId") for item in element.elements("DOR")]
    values = tuple(pool[number] for number in dict.fromkeys(numbers) if number in pool)
    return DevicePart(
        element=element,
        kind=integer(element, "DeviceElementType"),
        number=integer(element, "DeviceElementNumber"),
        object_id=integer(element, "DeviceElementObjectId"),
        parent_id=integer(element, "ParentObjectId"),
        values=values,
        complete=all(number in pool for number in numbers) and all(value.ddi is not None for value in values),
    )


def _connect(found: tuple[DevicePart, ...]) -> None:
    by_number: dict[int, DevicePart] = {}
    for part in found:
        if part.object_id is not None:
            by_number.setdefault(part.object_id, part)
    for part in found:
        part.parent = by_number.get(part.parent_id) if part.parent_id is not None else None
        if part.parent is not None:
            part.parent.children.append(part)


def _process_data(element: Element) -> Value:
    return Value(
        element=element,
        ddi=ddi_number(element.get("DeviceProcessDataDDI") or ""),
        flags=_bits(integer(element, "DeviceProcessDataProperty")),
        triggers=_bits(integer(element, "DeviceProcessDataTriggerMethods")),
    )


def _property(element: Element) -> Value:
    ddi = ddi_number(element.get("DevicePropertyDDI") or "")
    return Value(element=element, ddi=ddi, constant=integer(element, "DevicePropertyValue"))


def _bits(number: int | None) -> int:
    return number if number is not None and number >= 0 else 0
