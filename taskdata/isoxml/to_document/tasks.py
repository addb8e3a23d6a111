"""Tasks, zones and grids to elements and binary files (TSK, TZN, PDV, GRD)."""

from __future__ import annotations

from dataclasses import replace

from taskdata.isoxml.binary import grid as codec
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.to_document.change import DocumentChange
from taskdata.isoxml.to_document.fitting import Attribute
from taskdata.isoxml.to_document.new_grids import PLACE, create_grid
from taskdata.isoxml.to_document.new_logs import create_log, tell_rounding
from taskdata.isoxml.to_document.points import degrees
from taskdata.isoxml.to_document.same_points import same
from taskdata.isoxml.to_document.shapes import create_area, single_areas, update_area
from taskdata.isoxml.tree.element import Element
from taskdata.ledger import LossKind
from taskdata.model.tasks import Grid, Setpoint, Task, TaskStatus, Zone
from taskdata.phrases import phrase

_TASK = (
    Attribute("TaskDesignator", "name"),
    Attribute("CustomerIdRef", "customer"),
    Attribute("FarmIdRef", "farm"),
    Attribute("PartfieldIdRef", "field"),
    Attribute("ResponsibleWorkerIdRef", "worker"),
    Attribute("TaskStatus", "status", otherwise=TaskStatus.PLANNED),
    Attribute("DefaultTreatmentZoneCode", "default_zone"),
    Attribute("PositionLostTreatmentZoneCode", "position_lost_zone"),
    Attribute("OutOfFieldTreatmentZoneCode", "out_of_field_zone"),
)
_UNSTORED = ("times", "machines", "products", "workers", "connections", "practice")
_WHY = "the work done in a task and its allocations stay with its set and cannot be created or changed from records"
_ZONE = (
    Attribute("TreatmentZoneCode", "code"),
    Attribute("TreatmentZoneDesignator", "name"),
    Attribute("TreatmentZoneColour", "colour"),
)
_SHOWN = "ValuePresentationIdRef"
_SETPOINT = (
    Attribute("ProcessDataDDI", "ddi", lambda ddi: f"{ddi:04X}"),
    Attribute("ProcessDataValue", "value"),
    Attribute("ProductIdRef", "product"),
    Attribute("DeviceElementIdRef", "part"),
)


def create_task(change: DocumentChange, task: Task) -> Element:
    """Make a task (TSK) with its zones, grid and logs; allocations exist only where a document holds them."""
    element = Element("TSK")
    change.lay(element, _TASK, None, _planned(task))
    change.tell_unstored(None, task, _UNSTORED, _WHY)
    change.identify(element, task.id)
    for zone in task.zones:
        element.append(_create_zone(change, zone))
    made = [None if task.grid is None else create_grid(change, task.id, task.grid)]
    made += [create_log(change, task.id, log) for log in task.logs]
    tell_rounding(change, task.id, task.logs)
    for item in made:
        if item is not None:
            element.append(item)
    return element


def update_task(change: DocumentChange, element: Element, old: Task, new: Task) -> None:
    """Lay a changed task over its element."""
    change.lay(element, _TASK, _planned(old), _planned(new))
    change.tell_unstored(old, new, _UNSTORED, _WHY)
    change.sync(
        element,
        old.zones,
        new.zones,
        lambda zone, was, now: _update_zone(change, zone, was, now),
        lambda zone: _create_zone(change, zone),
    )
    if old.grid is not None and new.grid is not None:
        update_grid(change, old.grid, new.grid)


def _planned(task: Task) -> Task:
    """Return a task whose state, where none is given, is planned."""
    return task if task.status is not None else replace(task, status=TaskStatus.PLANNED)


def grid_differs(old: Task, new: Task) -> bool:
    """Tell whether the grid of a task lies elsewhere or holds other cells than before."""
    if old.grid is None or new.grid is None or old.grid is new.grid:
        return old.grid is not new.grid
    return _origin(old.grid) != _origin(new.grid) or _cells_differ(old.grid, new.grid)


def update_grid(change: DocumentChange, old: Grid, new: Grid) -> None:
    """Lay a moved grid over its element, and write changed cells into its binary file."""
    if _origin(old) != _origin(new):
        change.lay(change.element(old.key), PLACE, old, new)
        change.rounded |= _origin(new) != (float(degrees(new.min_lat)), float(degrees(new.min_lon)))
    if new.cells is None or not _cells_differ(old, new):
        return
    content = codec.encode(codec.Grid.complete(new.cells))
    name = f"{old.file}.BIN"
    stored = change.document.others.get(name.upper())
    if stored is None or stored.size != len(content):
        what = phrase("changed cells of grid {file}", file=old.file)
        change.lose(LossKind.DROPPED, old.place.element, what, phrase("its file is missing or of another size"))
        return
    change.document.others[name.upper()] = Blob.of(stored.name, content)


def _origin(grid: Grid) -> tuple[float, float]:
    return grid.min_lat, grid.min_lon


def _cells_differ(old: Grid, new: Grid) -> bool:
    return old.read is not new.read and not same(old.cells, new.cells)


def _create_zone(change: DocumentChange, zone: Zone) -> Element:
    element = Element("TZN")
    change.lay(element, _ZONE, None, zone)
    for area in single_areas(change, zone.areas):
        element.append(create_area(change, area))
    for setpoint in zone.setpoints:
        element.append(_create_setpoint(change, zone, setpoint))
    return element


def _create_setpoint(change: DocumentChange, zone: Zone, setpoint: Setpoint) -> Element:
    element = Element("PDV")
    change.lay(element, _SETPOINT, None, setpoint, owner=zone)
    return element


def _update_zone(change: DocumentChange, element: Element, old: Zone, new: Zone) -> None:
    change.lay(element, _ZONE, old, new)
    change.sync(
        element,
        old.areas,
        single_areas(change, new.areas),
        lambda polygon, was, now: update_area(change, polygon, was, now),
        lambda area: create_area(change, area),
    )
    if old.setpoints != new.setpoints:
        _update_setpoints(change, element, old, new)


def _update_setpoints(change: DocumentChange, element: Element, old: Zone, new: Zone) -> None:
    """Lay the setpoints of a zone over its values, remove those beyond, and add those that are new."""
    stored = [item for item in element.walk() if item.tag == "PDV"]
    if len(stored) != len(old.setpoints):
        what = phrase("changed setpoints of zone {code}", code=new.code)
        change.lose(LossKind.DROPPED, new.place.element, what, phrase("they do not match the values in the set"))
        return
    for item, was, now in zip(stored, old.setpoints, new.setpoints, strict=False):
        change.lay(item, _SETPOINT, was, now, owner=new)
        if was.ddi != now.ddi and item.get(_SHOWN) is not None:
            item.set(_SHOWN, None)
            what = phrase("how a value of zone {code} is shown", code=new.code)
            change.lose(
                LossKind.CHANGED,
                new.place.element,
                what,
                phrase("its quantity changed; the unit of the old one is left out"),
            )
    for item in reversed(stored[len(new.setpoints) :]):
        change.remove(item)
    for setpoint in new.setpoints[len(stored) :]:
        element.append(_create_setpoint(change, new, setpoint))


def without_cells(task: Task) -> Task:
    """Return a task whose grid, logs and swaths are left out, for a comparison of the rest."""
    return replace(task, grid=None, logs=(), swaths=(), worked=())
