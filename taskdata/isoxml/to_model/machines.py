"""Devices with their elements (DVC, DET, DPD, DPT, DVP).

Offsets count from the device reference point: DDI 134 x forward, 135 y to the right, 136 z down, in mm. The width of a
part is its actual width (67), else its maximum (70), else its default (68), in mm (ISO 11783-10, F.3.5). Only constants
(DPT) give them; what a log delivers (DPD) is not known here.
"""

from __future__ import annotations

from collections.abc import Sequence

from taskdata.isoxml.to_model.reading import Reading, needed_ddi, needed_integer, needed_text
from taskdata.isoxml.tree.element import Element
from taskdata.model.machines import Machine, Part, PartKind, Presentation, Quantity
from taskdata.quantities.dictionary import entry

OFFSET_X, OFFSET_Y, OFFSET_Z = 134, 135, 136
WIDTHS = (67, 70, 68)
_DEFAULT_SET, _SETTABLE = 1, 2


def machine(reading: Reading, element: Element) -> Machine:
    """Read a device (DVC)."""
    pool = _pool(reading, element)
    parts = reading.each(element.elements("DET"), lambda run, item: _part(run, item, pool))
    return Machine(
        id=reading.identifier(element),
        name=element.get("DeviceDesignator"),
        software=element.get("DeviceSoftwareVersion"),
        serial=element.get("DeviceSerialNumber"),
        client_name=element.get("ClientNAME"),
        structure_label=element.get("DeviceStructureLabel"),
        localization_label=element.get("DeviceLocalizationLabel"),
        working_width_m=_working_width(parts),
        parts=parts,
        key=reading.key(element),
        place=reading.place(element),
    )


def _working_width(parts: Sequence[Part]) -> float | None:
    """Return the width of the widest part; sections side by side on one part count as one."""
    widths = [part.width_m for part in parts if part.width_m is not None]
    booms: dict[int, float] = {}
    for part in parts:
        if part.kind is PartKind.SECTION and part.width_m is not None:
            booms[part.parent] = booms.get(part.parent, 0.0) + part.width_m
    return max([*widths, *booms.values()], default=None)


def _part(reading: Reading, element: Element, pool: dict[int, Quantity]) -> Part:
    numbers = reading.each(element.elements("DOR"), _object_number)
    quantities = tuple(pool[number] for number in numbers if number in pool)
    constants: dict[int, int] = {}
    for item in quantities:
        if item.value is not None:
            constants.setdefault(item.ddi, item.value)
    part = Part(
        id=reading.identifier(element),
        kind=reading.code(element, "DeviceElementType", PartKind, PartKind.UNIT),
        number=needed_integer(element, "DeviceElementNumber"),
        object_id=needed_integer(element, "DeviceElementObjectId"),
        parent=reading.integer(element, "ParentObjectId") or 0,
        name=element.get("DeviceElementDesignator"),
        offset_x_m=_metres(constants, OFFSET_X),
        offset_y_m=_metres(constants, OFFSET_Y),
        offset_z_m=_metres(constants, OFFSET_Z),
        width_m=next((_metres(constants, ddi) for ddi in WIDTHS if ddi in constants), None),
        quantities=quantities,
        key=reading.key(element),
        place=reading.place(element),
    )
    reading.parts.setdefault(part.id, part)
    return part


def _metres(constants: dict[int, int], ddi: int) -> float | None:
    return constants[ddi] / 1000 if ddi in constants else None


def _object_number(_: Reading, element: Element) -> int:
    return needed_integer(element, "DeviceObjectId")


def _pool(reading: Reading, element: Element) -> dict[int, Quantity]:
    """Return what the elements of a device refer to, by object number."""
    shown = dict(reading.each(element.elements("DVP"), _presentation))
    found = [
        *reading.each(element.elements("DPD"), lambda run, item: _process_data(run, item, shown)),
        *reading.each(element.elements("DPT"), lambda run, item: _property(run, item, shown)),
    ]
    quantities: dict[int, Quantity] = {}
    for number, quantity in found:
        quantities.setdefault(number, quantity)
    return quantities


def _presentation(reading: Reading, element: Element) -> tuple[int, Presentation]:
    return needed_integer(element, "DeviceValuePresentationObjectId"), Presentation(
        offset=needed_integer(element, "Offset"),
        scale=needed_text(element, "Scale"),
        decimals=needed_integer(element, "NumberOfDecimals"),
        unit=element.get("UnitDesignator"),
    )


def _process_data(reading: Reading, element: Element, shown: dict[int, Presentation]) -> tuple[int, Quantity]:
    ddi = needed_ddi(element, "DeviceProcessDataDDI")
    flags = reading.integer(element, "DeviceProcessDataProperty") or 0
    return needed_integer(element, "DeviceProcessDataObjectId"), Quantity(
        ddi=ddi,
        name=element.get("DeviceProcessDataDesignator") or quantity_name(ddi),
        settable=bool(flags & _SETTABLE),
        default_set=bool(flags & _DEFAULT_SET),
        presentation=_shown(reading, element, shown),
    )


def _property(reading: Reading, element: Element, shown: dict[int, Presentation]) -> tuple[int, Quantity]:
    ddi = needed_ddi(element, "DevicePropertyDDI")
    return needed_integer(element, "DevicePropertyObjectId"), Quantity(
        ddi=ddi,
        name=element.get("DevicePropertyDesignator") or quantity_name(ddi),
        value=needed_integer(element, "DevicePropertyValue"),
        presentation=_shown(reading, element, shown),
    )


def _shown(reading: Reading, element: Element, shown: dict[int, Presentation]) -> Presentation | None:
    number = reading.integer(element, "DeviceValuePresentationObjectId")
    return None if number is None else shown.get(number)


def quantity_name(ddi: int) -> str | None:
    """Return the name of a quantity in the data dictionary, None where it lists none."""
    known = entry(ddi)
    return known.name if known.known else None
