"""Zones with polygons to cells."""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import ROUND_CEILING, Decimal
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.adapt.cells import NO_RATE, CellMap, Mix, key_of, mix_of
from taskdata.adapt.zones import copied
from taskdata.dataclass import dataclass
from taskdata.geometry.areas import in_degrees
from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import line_length, polygon_area
from taskdata.isoxml.binary.grid import GridPlacement
from taskdata.isoxml.to_model.shapes import RingKind
from taskdata.isoxml.tree.element import Element

CELL_M = 2.0
"""Side of a cell at least, metres."""

MOST_CELL_M = 50.0
"""Side of a cell at most, metres: coarser cells are no map of a field."""

MOST_CELLS = 350
"""Columns and rows that every task controller must support (ISO 11783-10, F.2.2)."""

_STEP = Decimal("1e-9")


@dataclass(frozen=True, eq=False)
class Shaped:
    """A zone with polygons: its outer and inner rings, and its shape in degrees."""

    zone: Element
    exteriors: list[Points]
    interiors: list[Points]

    @property
    def shape(self) -> Any:
        """The ground it covers, valid."""
        found = in_degrees([self]).shape
        return shapely.Polygon() if found is None else found

    @property
    def area_m2(self) -> float:
        """Area on the ellipsoid."""
        return polygon_area(self.exteriors, self.interiors)


def shaped_zones(task: Element) -> list[Shaped]:
    """Return the zones of a task that have polygons with points."""
    found = []
    for zone in task.elements("TZN"):
        rings = list(_rings(zone))
        exteriors, interiors = ([ring for kind, ring in rings if kind is wanted] for wanted in RingKind)
        if exteriors:
            found.append(Shaped(zone, exteriors, interiors))
    return found


def rastered(zones: list[Shaped], columns: int, rows: int) -> tuple[CellMap, dict[Element, float]]:
    """Return cells of a map of zones, and the area in m² that each zone has in cells.

    Zones with setpoints of one key make up a layer; layers lie over each other. A cell belongs to the first zone of a
    layer that its middle lies in.

    Parameters
    ----------
    zones : list of Shaped
        At least one.
    columns, rows : int
        As many at most.
    """
    placement = _placement(np.concatenate([ring for zone in zones for ring in zone.exteriors]), columns, rows)
    north, east = (edges[:-1] + np.diff(edges) / 2 for edges in placement.edges())
    x, y = np.meshgrid(east, north)
    layers = list(_layers(zones))
    owners = np.full((len(layers), *x.shape), NO_RATE, dtype=np.int64)
    for owner, members in zip(owners, layers, strict=True):
        for at in reversed(members):
            shape = zones[at].shape
            shapely.prepare(shape)
            owner[shapely.contains_xy(shape, x, y)] = at
    different, inverse = np.unique(owners.reshape(len(layers), -1), axis=1, return_inverse=True)
    mixes, positions = _mixes(zones, different)
    cells = CellMap(placement, positions[inverse.reshape(x.shape)], tuple(mixes))
    areas = {zone.zone: cells.area_of((owners == at).any(axis=0)) for at, zone in enumerate(zones)}
    return cells, areas


def _rings(zone: Element) -> Iterator[tuple[RingKind, Points]]:
    kinds = {str(int(kind)): kind for kind in RingKind}
    for polygon in zone.elements("PLN"):
        for string in polygon.elements("LSG"):
            kind = kinds.get(string.get("LineStringType") or "")
            points = string.coordinates()
            points = points[np.isfinite(points).all(axis=1)]
            if kind is not None and len(points) > 2:
                yield kind, points


def is_too_coarse(placement: GridPlacement) -> bool:
    """Tell whether cells are larger than makes sense for a field, or can be written (D.27: 1 degree)."""
    south, west = float(placement.min_north), float(placement.min_east)
    side = line_length([[west, south], [west, south + float(placement.cell_north)]])
    return side > MOST_CELL_M or max(placement.cell_north, placement.cell_east) > 1


def _layers(zones: list[Shaped]) -> Iterator[list[int]]:
    """Yield the positions of the zones of each layer."""
    layers: dict[tuple[Any, ...], list[int]] = {}
    for at, zone in enumerate(zones):
        layers.setdefault(tuple(key_of(setpoint) for setpoint in zone.zone.elements("PDV")), []).append(at)
    yield from layers.values()


def _mixes(zones: list[Shaped], different: NDArray[np.int64]) -> tuple[list[Mix], NDArray[np.int64]]:
    """Return what is applied where zones of several layers lie over each other, and its position for each choice."""
    mixes: list[Mix] = []
    positions = np.full(different.shape[1], NO_RATE, dtype=np.int64)
    for at, choice in enumerate(different.T.tolist()):
        chosen = [mix_of(zones[number].zone) for number in choice if number != NO_RATE]
        if chosen:
            positions[at] = len(mixes)
            setpoints = tuple(copied(setpoint) for mix in chosen for setpoint in mix.setpoints)
            mixes.append(Mix(setpoints, chosen[0].name, chosen[0].colour, chosen[0].code if len(chosen) == 1 else None))
    return mixes, positions


def _placement(points: Points, columns: int, rows: int) -> GridPlacement:
    """Lay cells over some points, as square on the ground as whole steps of 1e-9 degree allow."""
    (west, south), (east, north) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    middle = (south + north) / 2
    wide, high = line_length([[west, middle], [east, middle]]), line_length([[west, south], [west, north]])
    size = max(CELL_M, wide / columns, high / rows)
    start = [(Decimal(repr(value)) // _STEP) * _STEP for value in (south, west)]
    cells = [_cell(*span, size) for span in ((north - south, high), (east - west, wide))]
    ends = [Decimal(repr(value)) for value in (north, east)]
    counts = [max(1, math.ceil((end - begin) / cell)) for begin, end, cell in zip(start, ends, cells, strict=True)]
    return GridPlacement(start[0], start[1], cells[0], cells[1], min(counts[1], columns), min(counts[0], rows))


def _cell(degrees: float, metres: float, size: float) -> Decimal:
    """Return the side of a cell in degrees, a hair larger so that the last one reaches the edge."""
    share = degrees * size / metres if metres else 1e-5
    return Decimal(repr(share * (1 + 1e-6))).quantize(_STEP, rounding=ROUND_CEILING)
