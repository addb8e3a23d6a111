"""A map of rates as cells, whatever it is written as: zones with polygons, a grid of codes or a grid of setpoints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from taskdata.adapt.zones import copied
from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats
from taskdata.geometry.geodesy import ring_areas
from taskdata.isoxml.binary.grid import GridPlacement, decode_codes, decode_setpoints
from taskdata.isoxml.to_model.grids import ZONE_CODES
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import file_name

NO_RATE = -1


@dataclass(frozen=True, eq=False)
class Mix:
    """What is applied in a cell: setpoints (PDV), with the name and colour of the zone they stem from."""

    setpoints: tuple[Element, ...]
    name: str | None = None
    colour: str | None = None
    code: str | None = None


@dataclass(frozen=True, eq=False)
class CellMap:
    """Cells over a field.

    Parameters
    ----------
    placement : GridPlacement
        Where they lie.
    index : int array (rows, columns)
        Position in ``mixes``, ``NO_RATE`` where nothing says a rate. Row 0 is the southernmost.
    mixes : tuple of Mix
        What is applied.
    """

    placement: GridPlacement
    index: NDArray[np.int64]
    mixes: tuple[Mix, ...]

    def row_areas(self) -> Floats:
        """Return the area of one cell of each row on the ellipsoid, m², (rows,)."""
        return ring_areas(replace(self.placement, columns=1).corners())

    def area_of(self, where: NDArray[np.bool_]) -> float:
        """Return the area of some cells, m²."""
        return float(where.sum(axis=1) @ self.row_areas())


def cells_of(document: Document, task: Element, grid: Element) -> CellMap | None:
    """Return the map that a grid holds, None where it or its file does not hold what it should."""
    blob = document.binary(file_name(grid) or "")
    placement = _placement(grid)
    zones = {zone.get("TreatmentZoneCode"): zone for zone in task.elements("TZN")}
    content = None if blob is None or placement is None else blob.content()
    if content is None or placement is None:
        return None
    size = (placement.columns, placement.rows)
    if grid.get("GridType") == str(ZONE_CODES):
        found = decode_codes(content, *size)
        return None if found.findings else _of_codes(placement, found.cells, zones)
    template = zones.get(grid.get("TreatmentZoneCode"))
    setpoints = [] if template is None else list(template.elements("PDV"))
    if not setpoints:
        return None
    values = decode_setpoints(content, *size, len(setpoints))
    return None if values.findings else of_values(placement, values.cells, setpoints)


def _placement(grid: Element) -> GridPlacement | None:
    names = ("GridMinimumNorthPosition", "GridMinimumEastPosition", "GridCellNorthSize", "GridCellEastSize")
    north, east, high, wide = (grid.get(name) or "" for name in names)
    try:
        counts = [int(grid.get(name) or "") for name in ("GridMaximumColumn", "GridMaximumRow")]
        found = GridPlacement.of_texts((north, east), (high, wide), *counts)
    except (ValueError, ArithmeticError):
        return None
    sound = all(number.is_finite() for number in (found.min_north, found.min_east, found.cell_north, found.cell_east))
    return found if sound and min(found.cell_north, found.cell_east) > 0 else None


def _of_codes(placement: GridPlacement, codes: NDArray[np.uint8], zones: dict[str | None, Element]) -> CellMap:
    used, inverse = np.unique(codes, return_inverse=True)
    positions = np.full(len(used), NO_RATE, dtype=np.int64)
    mixes: list[Mix] = []
    for at, code in enumerate(used.tolist()):
        zone = zones.get(str(code))
        if zone is not None and any(zone.elements("PDV")):
            positions[at] = len(mixes)
            mixes.append(mix_of(zone))
    return CellMap(placement, positions[inverse.reshape(codes.shape)], tuple(mixes))


def of_values(placement: GridPlacement, values: NDArray[np.int32], setpoints: Sequence[Element]) -> CellMap:
    """Return a map of setpoints.

    Parameters
    ----------
    placement : GridPlacement
        Where the cells lie.
    values : int array (rows, columns, n)
        Raw values, in the order of the setpoints.
    setpoints : sequence of Element
        What they are for; their own values do not count.
    """
    different, inverse = np.unique(values.reshape(-1, len(setpoints)), axis=0, return_inverse=True)
    mixes = []
    for row in different.tolist():
        made = [copied(setpoint) for setpoint in setpoints]
        for setpoint, value in zip(made, row, strict=True):
            setpoint.set("ProcessDataValue", str(value))
        mixes.append(Mix(tuple(made)))
    return CellMap(placement, inverse.reshape(values.shape[:2]).astype(np.int64), tuple(mixes))


def values_of(cells: CellMap) -> NDArray[np.int64]:
    """Return the raw values of a map of setpoints that has a rate everywhere, (rows, columns, n)."""
    return rates_of(cells)[cells.index]


def rates_of(cells: CellMap) -> NDArray[np.int64]:
    """Return the raw values of each mix of a map of setpoints, (mixes, n)."""
    rows = [[int(item.get("ProcessDataValue") or 0) for item in mix.setpoints] for mix in cells.mixes]
    return np.array(rows, dtype=np.int64)


def mix_of(zone: Element) -> Mix:
    """Return what a zone applies."""
    setpoints = tuple(copied(setpoint) for setpoint in zone.elements("PDV"))
    name, colour, code = (
        zone.get(item) for item in ("TreatmentZoneDesignator", "TreatmentZoneColour", "TreatmentZoneCode")
    )
    return Mix(setpoints, name, colour, code)


def key_of(setpoint: Element) -> tuple[str | None, ...]:
    """Return what a setpoint is for, its value apart: setpoints of one key make up one layer."""
    names = ("ProcessDataDDI", "ProductIdRef", "DeviceElementIdRef", "ActualCulturalPracticeValue")
    return tuple(setpoint.get(name) for name in (*names, "ElementTypeInstanceValue"))
