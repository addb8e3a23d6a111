"""Devices of new machines: an element (DVC) with its device elements, process data, properties and presentations.

A description is written of what a record says of a machine. What the standard requires besides and no record of a new
machine has:

- the NAME of the device on its network: a self-configurable one of industry group 2, agriculture, that names no
  manufacturer, class or function (all bits of those set or 0), with a number made of the description (layout of the
  NAME from memory);
- the structure label, which tells descriptions of one device apart: seven octets made of the description, none of them
  FF, so that equal descriptions have equal labels;
- the localization label: FF, five octets of 0, which leave notation and units to the terminal, and the language en;
- numbers of objects, counted on from those of the elements;
- trigger methods of process data: on change. A request for the default set (DFFF) has all of them, as it must.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from itertools import count
from typing import TypeAlias

from taskdata.isoxml.facts import letter
from taskdata.isoxml.to_document.change import DocumentChange
from taskdata.isoxml.to_document.fitting import Attribute
from taskdata.isoxml.to_model.machines import quantity_name
from taskdata.isoxml.tree.element import Element
from taskdata.ledger import LossKind
from taskdata.model.machines import Machine, Part, Presentation, Quantity
from taskdata.phrases import phrase

DEFAULT_REQUEST = 0xDFFF
"""Process data that ask for the default set."""

_ON_CHANGE, _EVERY_TRIGGER = 8, 31
_DEFAULT_SET, _SETTABLE = 1, 2
_NO_MAKER = 0xA000FF00FFE00000
_LANGUAGE = "FF" + "00" * 4 + "6E65"

_DEVICE = (
    Attribute("DeviceDesignator", "name"),
    Attribute("DeviceSoftwareVersion", "software"),
    Attribute("ClientNAME", "client_name"),
    Attribute("DeviceSerialNumber", "serial"),
    Attribute("DeviceStructureLabel", "structure_label"),
    Attribute("DeviceLocalizationLabel", "localization_label"),
)
_PART = (
    Attribute("DeviceElementObjectId", "object_id"),
    Attribute("DeviceElementType", "kind"),
    Attribute("DeviceElementDesignator", "name"),
    Attribute("DeviceElementNumber", "number"),
    Attribute("ParentObjectId", "parent"),
)
_PRESENTATION = (
    Attribute("Offset", "offset"),
    Attribute("Scale", "scale"),
    Attribute("NumberOfDecimals", "decimals"),
    Attribute("UnitDesignator", "unit"),
)

_Pool: TypeAlias = dict[Quantity | Presentation, tuple[int, Element]]
"""Objects of a device that its elements refer to, each with its number."""


def create_machine(change: DocumentChange, machine: Machine) -> Element:
    """Make a device (DVC) of a new machine."""
    element = Element("DVC")
    change.lay(element, _DEVICE, None, _complete(machine), owner=machine)
    change.identify(element, machine.id)
    numbers = count(max((part.object_id for part in machine.parts), default=0) + 1)
    pool: _Pool = {}
    for part in machine.parts:
        element.append(_part(change, part, pool, numbers))
    for tag in ("DPD", "DPT", "DVP"):
        for _, item in pool.values():
            if item.tag == tag:
                element.append(item)
    return element


def _complete(machine: Machine) -> Machine:
    """Return a machine with what the standard requires of it."""
    digest = hashlib.sha256(repr([machine.name, *map(_described, machine.parts)]).encode()).digest()
    number = int.from_bytes(digest[:4], "big") & 0x1FFFFF
    label = bytes(min(octet, 0xFE) for octet in digest[-7:]).hex().upper()
    return replace(
        machine,
        client_name=machine.client_name or f"{_NO_MAKER | number:016X}",
        structure_label=machine.structure_label or label,
        localization_label=machine.localization_label or _LANGUAGE,
    )


def _described(part: Part) -> tuple[object, ...]:
    return int(part.kind), part.number, part.object_id, part.parent, part.name, part.quantities


def _part(change: DocumentChange, part: Part, pool: _Pool, numbers: count[int]) -> Element:
    """Make a device element (DET) that refers to its values; the same value of several elements is one object."""
    element = Element("DET")
    change.lay(element, _PART, None, part)
    change.identify(element, part.id)
    if element.id != part.id:
        change.lose(
            LossKind.DROPPED,
            part.id,
            phrase("what logs say of {name}", name=part.name or part.id),
            phrase("its identifier is taken"),
        )
    for quantity in part.quantities:
        if quantity not in pool:
            shown = _shown(change, quantity.presentation, pool, numbers)
            number = next(numbers)
            pool[quantity] = number, _value(change, quantity, number, shown)
        element.append(Element("DOR", {letter("DOR", "DeviceObjectId"): str(pool[quantity][0])}))
    return element


def _value(change: DocumentChange, quantity: Quantity, number: int, shown: int | None) -> Element:
    """Make process data (DPD), or a property (DPT) of a quantity with a constant value."""
    tag, kind = ("DPD", "ProcessData") if quantity.value is None else ("DPT", "Property")
    element = Element(tag, {letter(tag, f"Device{kind}ObjectId"): str(number)})
    own = None if quantity.name == quantity_name(quantity.ddi) else quantity.name
    attributes = (Attribute(f"Device{kind}DDI", "ddi", "{:04X}".format), Attribute(f"Device{kind}Designator", "name"))
    change.lay(element, attributes, None, replace(quantity, name=own))
    if quantity.value is None:
        flags = _DEFAULT_SET * quantity.default_set + _SETTABLE * quantity.settable
        element.set("DeviceProcessDataProperty", str(flags))
        triggers = _EVERY_TRIGGER if quantity.ddi == DEFAULT_REQUEST else _ON_CHANGE
        element.set("DeviceProcessDataTriggerMethods", str(triggers))
    else:
        change.lay(element, (Attribute("DevicePropertyValue", "value"),), None, quantity)
    element.set("DeviceValuePresentationObjectId", None if shown is None else str(shown))
    return element


def _shown(change: DocumentChange, presentation: Presentation | None, pool: _Pool, numbers: count[int]) -> int | None:
    """Return the number of the presentation (DVP), made where it is the first of its kind."""
    if presentation is None:
        return None
    if presentation not in pool:
        number = next(numbers)
        element = Element("DVP", {letter("DVP", "DeviceValuePresentationObjectId"): str(number)})
        change.lay(element, _PRESENTATION, None, presentation)
        pool[presentation] = number, element
    return pool[presentation][0]
