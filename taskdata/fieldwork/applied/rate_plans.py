"""The rate that a task meant at any place: by its grid, else its zones, else its default; outside the field its own.

Where zones overlap, the first in the order of the set counts.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.fieldwork.applied.channels import Channel
from taskdata.fieldwork.applied.products import is_for
from taskdata.fieldwork.field_ground import ground_of
from taskdata.fieldwork.part_tree import Tree
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.plane import LocalPlane
from taskdata.model.tasks import Grid, Setpoint, Task, Zone
from taskdata.quantities.dictionary import entry

NO_ZONE = -1
_KIND_OF_CODES = 1


class Meant(NamedTuple):
    """At n points: the code of the zone, `NO_ZONE` without one, and its rate by square metre, NaN without one."""

    code: NDArray[np.int64]
    rate: Floats


@dataclass(frozen=True, eq=False)
class RatePlan:
    """What a task meant of one quantity of a product.

    Parameters
    ----------
    rates : dict of int to float
        Physical rate by square metre of each zone that states one.
    polygons : tuple of (int, shape)
        Zones with ground, in the plane.
    grid : Grid or None
        With cells that state the quantity.
    layer : int
        Which value of a cell is that of the quantity, where cells hold values.
    default, outside : int or None
        Codes of the zones that hold elsewhere in the field, and outside.
    field : shape or None
        The field in the plane.
    """

    plane: LocalPlane
    rates: dict[int, float]
    polygons: tuple[tuple[int, Any], ...]
    grid: Grid | None
    layer: int
    default: int | None
    outside: int | None
    field: Any

    def at(self, points: Points) -> Meant:
        """Return what was meant at (n, 2) points of the plane."""
        found = Meant(np.full(len(points), NO_ZONE, dtype=np.int64), np.full(len(points), np.nan))
        if self.grid is not None:
            _fill_from_grid(self, self.grid, points, found)
        for code, shape in self.polygons:
            self._fill(found, code, shapely.contains_xy(shape, *points.T))
        inside = np.full(len(points), True) if self.field is None else shapely.contains_xy(self.field, *points.T)
        self._fill(found, self.outside, ~inside)
        self._fill(found, self.default, inside)
        return found

    def _fill(self, found: Meant, code: int | None, where: NDArray[np.bool_]) -> None:
        """Let a zone hold at some points, where none does yet."""
        if code is not None and code in self.rates:
            chosen = where & (found.code == NO_ZONE)
            found.code[chosen], found.rate[chosen] = code, self.rates[code]


@dataclass(frozen=True, eq=False)
class Wanted:
    """The quantity that a plan is asked for: what logs its actual rate, and its product where that is known."""

    channels: tuple[Channel, ...]
    trees: Mapping[str, Tree]
    product: str | None

    def fits(self, setpoint: Setpoint) -> bool:
        """Tell whether a setpoint is of the quantity."""
        if setpoint.product and self.product and setpoint.product != self.product:
            return False
        return any(is_for(setpoint, self.trees, channel) for channel in self.channels)


def rate_plan(task: Task, wanted: Wanted, plane: LocalPlane, field: Any) -> RatePlan | None:
    """Return what a task meant of a quantity, None where it has neither zones with ground nor a grid for it."""
    rates = {zone.code: rate for zone in task.zones if (rate := _rate(zone.setpoints, wanted)) is not None}
    shaped = ((zone, ground_of(zone.areas, plane)) for zone in task.zones if zone.code in rates and zone.areas)
    polygons = tuple((zone.code, shape) for zone, shape in shaped if shape is not None)
    for _, shape in polygons:
        shapely.prepare(shape)
    if field is not None:
        shapely.prepare(field)
    layer = _layer(task.grid, task.zones, wanted)
    grid = task.grid if layer is not None else None
    if not polygons and grid is None:
        return None
    return RatePlan(plane, rates, polygons, grid, layer or 0, task.default_zone, task.out_of_field_zone, field)


def _rate(setpoints: Sequence[Setpoint], wanted: Wanted) -> float | None:
    for setpoint in setpoints:
        if wanted.fits(setpoint):
            return setpoint.value * float(entry(setpoint.ddi).resolution or 1)
    return None


def _layer(grid: Grid | None, zones: Sequence[Zone], wanted: Wanted) -> int | None:
    """Return which value of the cells of a grid is that of the quantity; None where none is, or cells are not there."""
    if grid is None or not _is_sound(grid):
        return None
    if grid.kind == _KIND_OF_CODES:
        return 0 if any(wanted.fits(setpoint) for zone in zones for setpoint in zone.setpoints) else None
    return next((place for place, setpoint in enumerate(grid.setpoints) if wanted.fits(setpoint)), None)


def _is_sound(grid: Grid) -> bool:
    """Tell whether a grid has cells, as many as it states, of a size."""
    sizes = np.array([grid.min_lon, grid.min_lat, grid.cell_lon, grid.cell_lat])
    if grid.cells is None or not np.isfinite(sizes).all() or (sizes[2:] <= 0.0).any():
        return False
    return bool(np.asarray(grid.cells).shape[:2] == (grid.rows, grid.columns))


def _fill_from_grid(plan: RatePlan, grid: Grid, points: Points, found: Meant) -> None:
    lonlat = plan.plane.inverse(points)
    east = np.mod(lonlat[:, 0] - grid.min_lon, 360.0)
    with np.errstate(invalid="ignore"):
        column = np.floor(np.nan_to_num(east / grid.cell_lon, nan=-1.0)).astype(np.int64)
        row = np.floor(np.nan_to_num((lonlat[:, 1] - grid.min_lat) / grid.cell_lat, nan=-1.0)).astype(np.int64)
    on = np.flatnonzero((column >= 0) & (column < grid.columns) & (row >= 0) & (row < grid.rows))
    cells = np.asarray(grid.cells)[row[on], column[on]].astype(np.int64)
    if grid.kind == _KIND_OF_CODES:
        for code, rate in plan.rates.items():
            chosen = on[cells == code]
            found.code[chosen], found.rate[chosen] = code, rate
        return
    found.code[on] = NO_ZONE + 1 if grid.template is None else grid.template
    found.rate[on] = cells[:, plan.layer] * float(entry(grid.setpoints[plan.layer].ddi).resolution or 1)
