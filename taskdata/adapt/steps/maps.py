"""Maps of rates in the form that a receiver takes."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, label
from taskdata.adapt.cells import CellMap, cells_of
from taskdata.adapt.classing import classed
from taskdata.adapt.leavable import or_leave
from taskdata.adapt.map_errors import CAUTION, area_error, averaging_errors, zone_errors
from taskdata.adapt.map_writing import default_of, has_no_rate, write_codes, write_polygons, write_setpoints
from taskdata.adapt.rastering import MOST_CELLS, is_too_coarse, rastered, shaped_zones
from taskdata.adapt.resampling import averaged, coarser
from taskdata.adapt.steps.binary_points import expand
from taskdata.adapt.zones import clear_polygons, free_codes, grid_codes, named_codes, taken_codes
from taskdata.errors import TargetError
from taskdata.isoxml.to_model.grids import SETPOINTS, ZONE_CODES
from taskdata.isoxml.tree.element import Element
from taskdata.model.receiver import Receiver
from taskdata.versions import has

_LIMITS = {"GridMaximumColumn": "limits.grid_columns", "GridMaximumRow": "limits.grid_rows"}
"""Version from which a zone with polygons has one setpoint, and a polygon for each part (R-150, R-170)."""


def fit_maps(work: Adaptation, receiver: Receiver) -> None:
    """Write maps of rates anew where a receiver does not take them as they are.

    A grid of a refused type becomes one of the other type, one of no type becomes zones with polygons. A grid that is
    too large becomes such zones where the profile says that they are taken, for that loses nothing; else its cells
    become larger. Where there are more different rates than codes of zones, they are put into classes, none changed by
    more than a tenth. Zones with polygons become a grid of codes, else of setpoints. The ledger names the area error of
    every zone, and what larger cells cost.

    Raises
    ------
    TargetError
        The receiver takes no form that can hold the map.
    """
    taken = {kind for kind in (ZONE_CODES, SETPOINTS) if receiver.get(f"takes.grid_type_{kind}") is not False}
    if 0 in {receiver.get(entry) for entry in _LIMITS.values()}:
        taken = set()
    polygons = receiver.get("takes.polygon_zones") is not False
    if not polygons:
        expand(work, _is_in_zone, "their zone is to become cells")
    for task in work.tagged("TSK"):
        grid = next(task.elements("GRD"), None)
        if grid is not None and (_too_large(grid, receiver) or grid.get("GridType") not in set(map(str, taken))):
            _from_grid(work, receiver, task, grid, taken)
        if not polygons:
            _from_polygons(work, receiver, task, taken)


def _is_in_zone(point: Element) -> bool:
    node: Element | None = point
    while node is not None and node.tag != "TZN":
        node = node.parent
    return node is not None


def _too_large(grid: Element, receiver: Receiver) -> bool:
    for name, entry in _LIMITS.items():
        limit, text = receiver.get(entry), (grid.get(name) or "").strip()
        if limit is not None and text.isdecimal() and int(text) > limit:
            return True
    return False


def _from_grid(work: Adaptation, receiver: Receiver, task: Element, grid: Element, taken: set[int]) -> None:
    """Write a grid as one that is taken, else as zones with polygons."""
    polygons = receiver.get("takes.polygon_zones")
    if not taken and polygons is False:
        raise TargetError(
            f"the grid of {task.id} cannot be written in any form that the terminal accepts",
            remedy=or_leave("Make the map again for this terminal", [task.id]),
        )
    cells = cells_of(work.document, task, grid)
    if cells is None:
        why = "its position, its file or its zones are faulty"
        raise TargetError(
            f"the grid of {task.id} cannot be read", why=why, remedy=or_leave("Export the map again", [task.id])
        )
    gone, single = grid_codes(work.document, task), has("single setpoints", work.target)
    too_large, before = _too_large(grid, receiver), grid.get("GridType")
    zones = sum(len(mix.setpoints) if single else 1 for mix in cells.mixes)
    room = len(free_codes((taken_codes(task) - gone) | named_codes(task)))
    if not taken or (too_large and polygons is True and zones <= room):
        if before == str(SETPOINTS):
            cells = _classed(work, task, cells, room // (len(cells.mixes[0].setpoints) if single else 1))
        _to_polygons(work, task, cells, gone, single=single)
        return
    kind, whole = int(before) if before in set(map(str, taken)) else min(taken), cells
    if too_large:
        cells = _coarser(work, receiver, task, cells, averages=before == str(kind) == str(SETPOINTS))
    if before != str(kind) == str(ZONE_CODES):
        cells = _classed(work, task, cells, room)
    if before != str(kind):
        same = ", the same cell by cell" if cells is whole else ""
        work.alter(task, f"grid of type {before} of {label(task)} becomes one of type {kind}{same}")
    _write(work, task, kind, cells, gone)


def _classed(work: Adaptation, task: Element, cells: CellMap, room: int) -> CellMap:
    """Return a map of setpoints with as many mixes as there are codes for, and say what that costs."""
    fewer = classed(cells, room) if len(cells.mixes) > room else None
    if fewer is None:
        return cells
    told = f"{len(cells.mixes)} different rates of {label(task)} become {len(fewer.mixes)}"
    work.alter(task, told, f"there are codes for {room} zones; {CAUTION}")
    for line in averaging_errors(cells, fewer, "in classes"):
        work.approximate(task, line)
    return fewer


def _to_polygons(work: Adaptation, task: Element, cells: CellMap, gone: set[str], *, single: bool) -> None:
    kind = next(task.elements("GRD")).get("GridType")
    north, east = cells.placement.edges()
    if max(abs(north).max() / 90, abs(east).max() / 180) > 1:
        why = "it reaches beyond 90 degrees north or south or 180 degrees east or west"
        raise TargetError(
            f"the grid of {task.id} cannot become polygons", why=why, remedy=or_leave("Correct its position", [task.id])
        )
    for code, area, before in write_polygons(work.document, task, cells, gone, single=single):
        work.approximate(task, f"zone {code} of the grid becomes polygons: {area_error(before, area)}")
    work.alter(task, f"grid of type {kind} of {label(task)} becomes zones with polygons")


def _coarser(work: Adaptation, receiver: Receiver, task: Element, cells: CellMap, *, averages: bool) -> CellMap:
    """Return a map in as many cells as are taken, and say what that costs."""
    old = cells.placement
    sides = zip((old.columns, old.rows), _LIMITS.values(), strict=True)
    most = [count if (limit := receiver.get(entry)) is None else limit for count, entry in sides]
    larger = (averaged if averages else coarser)(cells, *most)
    new = larger.placement
    if is_too_coarse(new):
        why = f"{new.columns} x {new.rows} cells would be too coarse"
        raise TargetError(
            f"the grid of {task.id} cannot be made smaller", why=why, remedy=or_leave("Make the map again", [task.id])
        )
    told = f"{old.columns} x {old.rows} cells of {label(task)} become {new.columns} x {new.rows} larger ones"
    work.alter(task, told, f"{receiver.name} accepts no more; {CAUTION}")
    for line in averaging_errors(cells, larger, "in larger cells") if averages else zone_errors(cells, larger):
        work.approximate(task, line)
    return larger


def _from_polygons(work: Adaptation, receiver: Receiver, task: Element, taken: set[int]) -> None:
    zones = [zone for zone in shaped_zones(task) if any(zone.zone.elements("PDV"))]
    rated = {zone.zone for zone in zones}
    for zone in task.elements("TZN"):
        if zone not in rated and any(zone.elements("PLN")):
            why = f"it has no rate or no outer ring, and {receiver.name} accepts no polygons"
            work.drop(task, f"polygons of the zone {zone.get('TreatmentZoneCode')}", why)
            clear_polygons(zone)
    if not zones:
        return
    if not taken or any(task.elements("GRD")):
        why = "it has a grid beside its zones" if taken else "the terminal accepts neither polygons nor grids"
        raise TargetError(
            f"the zones of {task.id} cannot be written in any form that the terminal accepts",
            why=why,
            remedy=or_leave("Make the map again", [task.id]),
        )
    most = [receiver.get(entry) or MOST_CELLS for entry in _LIMITS.values()]
    before = {zone.zone: (zone.zone.get("TreatmentZoneCode"), zone.area_m2) for zone in zones}
    cells, areas = rastered(zones, *most)
    if is_too_coarse(cells.placement):
        why = f"they lie so far apart that {most[0]} x {most[1]} cells would be too coarse"
        raise TargetError(
            f"the zones of {task.id} cannot become a grid", why=why, remedy=or_leave("Make the map again", [task.id])
        )
    if not cells.mixes:
        why = "no cell has its centre in one"
        raise TargetError(
            f"the zones of {task.id} are too small for a grid",
            why=why,
            remedy=or_leave("Make the map again", [task.id]),
        )
    for zone, (code, area) in before.items():
        work.approximate(task, f"zone {code} becomes cells: {area_error(area, areas[zone])}")
    kind = min(taken)
    _write(work, task, kind, cells, {code or "" for code, _ in before.values()})
    size = f"{cells.placement.columns} x {cells.placement.rows} cells"
    work.alter(task, f"zones with polygons of {label(task)} become a grid of type {kind} with {size}")


def _write(work: Adaptation, task: Element, kind: int, cells: CellMap, gone: set[str]) -> None:
    if has_no_rate(cells):
        default = default_of(task, cells, kind)
        told = "the value 0" if default is None else f"the rate of the default zone {default.code}"
        work.alter(
            task, f"cells of {label(task)} without a rate get {told}", f"a grid has a rate everywhere; {CAUTION}"
        )
    (write_codes if kind == ZONE_CODES else write_setpoints)(work.document, task, cells, gone)
