"""Cells to a grid of codes, a grid of setpoints, or zones with polygons."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.adapt.cells import NO_RATE, CellMap, Mix, key_of, mix_of
from taskdata.adapt.leavable import or_leave
from taskdata.adapt.points import run_of
from taskdata.adapt.zones import CODES, clear_polygons, copied, free_codes, named_codes, taken_codes
from taskdata.errors import TargetError
from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import polygon_area
from taskdata.isoxml.binary.grid import Grid, GridPlacement, encode
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.to_model.grids import SETPOINTS, ZONE_CODES
from taskdata.isoxml.to_model.shapes import RingKind
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.next_number import next_number
from taskdata.model.shapes import AreaKind


def write_codes(document: Document, task: Element, cells: CellMap, gone: set[str]) -> None:
    """Make a map the grid of type 1 of a task, one zone for each mix, in the place of zones with the codes ``gone``.

    Raises
    ------
    TargetError
        There are more mixes than codes.
    """
    default = default_of(task, cells, ZONE_CODES)
    _clear_zones(task, gone)
    codes = np.array([int(_new_zone(task, mix, mix.setpoints)) for mix in cells.mixes] or [0])
    index = cells.index
    if (index == NO_RATE).any():
        nothing = _nothing(cells)
        code = _new_zone(task, nothing, nothing.setpoints) if default is None else default.code
        codes, index = (
            np.append(codes[: len(cells.mixes)], int(code or 0)),
            np.where(index < 0, len(cells.mixes), index),
        )
    _put_grid(document, task, cells.placement, codes[index].astype(np.uint8), None)


def write_setpoints(document: Document, task: Element, cells: CellMap, gone: set[str]) -> None:
    """Make a map the grid of type 2 of a task, with a template zone in the place of those with the codes ``gone``.

    Raises
    ------
    TargetError
        The mixes are not for the same things in the same order.
    """
    keys = {tuple(key_of(setpoint) for setpoint in mix.setpoints) for mix in cells.mixes}
    if len(keys) != 1:
        raise TargetError(
            f"the map of {task.id} cannot become a grid of setpoints",
            why="its zones apply different quantities",
            remedy=or_leave("Make one task for each product", [task.id]),
        )
    nothing = _zeroed(cells.mixes[0].setpoints)
    outside = default_of(task, cells, SETPOINTS) or nothing
    values = [[int(item.get("ProcessDataValue") or 0) for item in mix.setpoints] for mix in (*cells.mixes, outside)]
    _clear_zones(task, gone)
    template = _new_zone(task, Mix(()), nothing.setpoints)
    _put_grid(document, task, cells.placement, np.array(values, dtype=np.int32)[cells.index], template)


def write_polygons(
    document: Document, task: Element, cells: CellMap, gone: set[str], *, single: bool
) -> list[tuple[str, float, float]]:
    """Make a map zones with polygons of a task, and take its grid out.

    Parameters
    ----------
    gone : set of str
        Codes of the zones that the map takes the place of.
    single : bool
        One setpoint a zone, with a polygon for each part (version 4), in place of all setpoints in one zone with one
        polygon (before).

    Returns
    -------
    list of (str, float, float)
        Code, area of the polygons as written and of the cells, m², for each zone.

    Raises
    ------
    TargetError
        There are more zones than codes.
    """
    for grid in list(task.elements("GRD")):
        document.others.pop(f"{grid.get('Filename')}.BIN".upper(), None)
        task.children.remove(grid)
    _clear_zones(task, gone)
    told = []
    for at, mix in enumerate(cells.mixes):
        where = cells.index == at
        parts = [_rings(part) for part in _shapes(cells.placement, where)]
        area = sum(polygon_area([outer], inner) for outer, inner in parts)
        for setpoints in [(item,) for item in mix.setpoints] if single else [mix.setpoints]:
            code = _new_zone(task, mix, setpoints, parts, single=single)
            told.append((code, area, cells.area_of(where)))
    return told


def has_no_rate(cells: CellMap) -> bool:
    """Tell whether some cells say no rate."""
    return bool((cells.index == NO_RATE).any())


def default_of(task: Element, cells: CellMap, kind: int) -> Mix | None:
    """Return what a task applies by default, where a grid of that type can say it; None where it cannot."""
    code = task.get("DefaultTreatmentZoneCode")
    zone = next((zone for zone in task.elements("TZN") if code and zone.get("TreatmentZoneCode") == code), None)
    if zone is None or kind == ZONE_CODES:
        return None if zone is None else mix_of(zone)
    mix = mix_of(zone)
    wanted = [key_of(setpoint) for setpoint in cells.mixes[0].setpoints]
    return mix if [key_of(setpoint) for setpoint in mix.setpoints] == wanted else None


def _nothing(cells: CellMap) -> Mix:
    """Return a mix of everything that the map applies, with the value 0."""
    first = {key_of(setpoint): setpoint for mix in cells.mixes for setpoint in mix.setpoints}
    return _zeroed(first.values())


def _zeroed(setpoints: Iterable[Element]) -> Mix:
    """Return a mix of these setpoints with the value 0."""
    made = tuple(copied(setpoint) for setpoint in setpoints)
    for setpoint in made:
        setpoint.set("ProcessDataValue", "0")
    return Mix(made)


def _clear_zones(task: Element, gone: set[str]) -> None:
    """Take zones out, but for those that the task names, which only lose their polygons."""
    named = named_codes(task)
    for zone in list(task.elements("TZN")):
        code = zone.get("TreatmentZoneCode") or ""
        if code in gone & named:
            clear_polygons(zone)
        elif code in gone:
            task.children.remove(zone)


def _new_zone(
    task: Element,
    mix: Mix,
    setpoints: tuple[Element, ...],
    parts: list[tuple[Points, list[Points]]] | None = None,
    *,
    single: bool = False,
) -> str:
    """Add a zone to a task and return its code: that of the mix where it is free."""
    taken = taken_codes(task)
    free = free_codes(taken)
    if not free:
        why = f"it needs more zones than the {len(CODES)} that have codes"
        raise TargetError(
            f"the map of {task.id} cannot be written", why=why, remedy=or_leave("Round the rates of the map", [task.id])
        )
    code = mix.code if mix.code in free else free[0]
    zone = Element("TZN")
    for name, text in {"Code": code, "Designator": mix.name, "Colour": mix.colour}.items():
        zone.set(f"TreatmentZone{name}", text)
    for polygon in _polygons(parts or [], single=single):
        zone.append(polygon)
    for setpoint in setpoints:
        zone.append(copied(setpoint))
    at = sum(1 for child in task.children if isinstance(child, Element) and child.tag == "TZN")
    zone.parent = task
    task.children.insert(at, zone)
    return str(code)


def _polygons(parts: list[tuple[Points, list[Points]]], *, single: bool) -> list[Element]:
    """Return a polygon for each part, or one for all: outer rings first."""
    groups = [[part] for part in parts] if single else [parts] if parts else []
    made = []
    for group in groups:
        polygon = Element("PLN")
        polygon.set("PolygonType", str(int(AreaKind.TREATMENT_ZONE)))
        rings = [(RingKind.EXTERIOR, outer) for outer, _ in group]
        rings += [(RingKind.INTERIOR, hole) for _, holes in group for hole in holes]
        for kind, ring in rings:
            string = Element("LSG")
            string.set("LineStringType", str(int(kind)))
            string.append(run_of(ring))
            polygon.append(string)
        made.append(polygon)
    return made


def _shapes(placement: GridPlacement, where: NDArray[np.bool_]) -> list[shapely.Polygon]:
    """Return the outlines of cells: runs of each row joined, points along straight edges left out."""
    north, east = placement.edges()
    edge = np.zeros((len(where), 1), dtype=bool)
    rows, ends = np.nonzero(np.diff(np.hstack([edge, where, edge]).astype(np.int8), axis=1))
    row, first, last = rows[::2], ends[::2], ends[1::2]
    boxes = shapely.box(east[first], north[row], east[last], north[row + 1])
    merged = shapely.simplify(shapely.union_all(boxes), 0.0)
    return [part for part in shapely.get_parts(merged) if not part.is_empty]


def _rings(part: shapely.Polygon) -> tuple[Points, list[Points]]:
    return np.asarray(part.exterior.coords), [np.asarray(ring.coords) for ring in part.interiors]


def _put_grid(
    document: Document, task: Element, placement: GridPlacement, values: NDArray[np.generic], template: str | None
) -> None:
    """Write a grid and its file into a task; one that it has already is written over."""
    grid = next(task.elements("GRD"), None)
    if grid is None:
        grid = Element("GRD")
        grid.set("Filename", _free_name(document))
        task.append(grid)
    content = encode(Grid.complete(values))
    name = f"{grid.get('Filename')}.BIN"
    document.others[name.upper()] = Blob.of(name, content)
    values_of = {
        "GridMinimumNorthPosition": f"{placement.min_north:f}",
        "GridMinimumEastPosition": f"{placement.min_east:f}",
        "GridCellNorthSize": f"{placement.cell_north:f}",
        "GridCellEastSize": f"{placement.cell_east:f}",
        "GridMaximumColumn": str(placement.columns),
        "GridMaximumRow": str(placement.rows),
        "Filelength": str(len(content)),
        "GridType": str(ZONE_CODES if template is None else SETPOINTS),
        "TreatmentZoneCode": template,
    }
    for key, text in values_of.items():
        grid.set(key, text)


def _free_name(document: Document) -> str:
    return f"GRD{next_number((name.removesuffix('.BIN') for name in document.others), 'GRD'):05}"
