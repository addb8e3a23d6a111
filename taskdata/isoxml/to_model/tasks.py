"""Tasks with their zones, setpoints, times and allocations (TSK, TZN, PDV, TIM, OTP, CNN, DAN, PAN, WAN)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from taskdata.isoxml.to_model import grids, shapes
from taskdata.isoxml.to_model.logs import log
from taskdata.isoxml.to_model.reading import Reading, needed_ddi, needed_integer
from taskdata.isoxml.tree.element import Element
from taskdata.model.tasks import Connection, Grid, Setpoint, Task, TaskStatus, WorkTime, Zone

_PLACEHOLDER = 0


def task(reading: Reading, element: Element) -> Task:
    """Read a task (TSK)."""
    described = list(element.elements("GRD"))
    templates = {code.strip() for code in map(grids.template_code, described) if code}
    zones = reading.each(element.elements("TZN"), lambda run, item: _zone(run, item, templates))
    found = reading.each(described, lambda run, item: _grid(run, item, element))
    return Task(
        id=reading.identifier(element),
        status=reading.code_or_none(element, "TaskStatus", TaskStatus),
        name=element.get("TaskDesignator"),
        customer=element.get("CustomerIdRef"),
        farm=element.get("FarmIdRef"),
        field=element.get("PartfieldIdRef"),
        worker=element.get("ResponsibleWorkerIdRef"),
        default_zone=reading.integer(element, "DefaultTreatmentZoneCode"),
        position_lost_zone=reading.integer(element, "PositionLostTreatmentZoneCode"),
        out_of_field_zone=reading.integer(element, "OutOfFieldTreatmentZoneCode"),
        zones=zones,
        grid=found[0] if found else None,
        logs=reading.each(element.elements("TLG"), log),
        times=reading.each(element.elements("TIM"), _time),
        machines=_named(element.elements("DAN"), "DeviceIdRef"),
        products=_named(element.elements("PAN"), "ProductIdRef"),
        workers=_named(element.elements("WAN"), "WorkerIdRef"),
        connections=tuple(filter(None, map(_connection, element.elements("CNN")))),
        practice=next(iter(_named(element.elements("OTP"), "CulturalPracticeIdRef")), None),
        key=reading.key(element),
        place=reading.place(element),
    )


def _named(elements: Iterable[Element], name: str) -> tuple[str, ...]:
    """Return what the elements refer to, each once, in order."""
    found = (element.get(name) for element in elements)
    return tuple(dict.fromkeys(text for text in found if text))


def _connection(element: Element) -> Connection | None:
    """Read a connection (CNN), None where one of its references is missing."""
    found = [
        element.get(name) for name in ("DeviceIdRef_0", "DeviceElementIdRef_0", "DeviceIdRef_1", "DeviceElementIdRef_1")
    ]
    texts = [text for text in found if text]
    return Connection(*texts) if len(texts) == len(found) else None


def _zone(reading: Reading, element: Element, templates: set[str]) -> Zone:
    code = needed_integer(element, "TreatmentZoneCode")
    valueless = (element.get("TreatmentZoneCode") or "").strip() in templates
    return Zone(
        code=code,
        name=element.get("TreatmentZoneDesignator"),
        colour=reading.integer(element, "TreatmentZoneColour"),
        areas=reading.each(element.elements("PLN"), shapes.area),
        setpoints=reading.each(_all_setpoints(element), lambda run, item: _setpoint(run, item, valueless)),
        key=reading.key(element),
        place=reading.place(element),
    )


def _all_setpoints(zone: Element) -> Iterator[Element]:
    """Yield the setpoints (PDV) of a zone, each followed by those nested in it."""
    for outer in zone.elements("PDV"):
        yield outer
        yield from outer.elements("PDV")


def _setpoint(reading: Reading, element: Element, valueless: bool) -> Setpoint:
    """Read a setpoint; a nested one belongs to the part that the outer one names.

    In the template zone of a grid the value is a placeholder and may be absent.
    """
    part = element.get("DeviceElementIdRef")
    if part is None and element.parent is not None and element.parent.tag == element.tag:
        part = element.parent.get("DeviceElementIdRef")
    no_value = valueless and element.get("ProcessDataValue") is None
    return Setpoint(
        ddi=needed_ddi(element, "ProcessDataDDI"),
        value=_PLACEHOLDER if no_value else needed_integer(element, "ProcessDataValue"),
        product=element.get("ProductIdRef"),
        part=part,
        presentation=reading.presentations.get(element.get("ValuePresentationIdRef") or ""),
    )


def _grid(reading: Reading, element: Element, owner: Element) -> Grid:
    """Read a grid with the first-level setpoints of its template zone; what is wrong in them the zone has said."""
    code = grids.template_code(element)
    zone = next((item for item in owner.elements("TZN") if item.get("TreatmentZoneCode") == code), None)
    outer = [] if code is None or zone is None else list(zone.elements("PDV"))
    return grids.grid(reading, element, [_setpoint(reading, item, valueless=True) for item in outer])


def _time(reading: Reading, element: Element) -> WorkTime:
    return WorkTime(
        kind=needed_integer(element, "Type"),
        start=reading.stamp(element, "Start"),
        stop=reading.stamp(element, "Stop"),
        duration_s=reading.integer(element, "Duration"),
    )
