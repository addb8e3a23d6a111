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
KIND_OF_CODES = 1


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

    def cell_rates(self) -> Floats | None:
        """Return the rate of each cell of the grid, row by row, NaN where it states none; None without a grid."""
        if self.grid is None:
            return None
        cells = np.asarray(self.grid.cells)
        if self.grid.kind == KIND_OF_CODES:
            by_code = np.full(max(256, int(cells.max(initial=0)) + 1), np.nan)
            for code, rate in self.rates.items():
                if 0 <= code < len(by_code):
                    by_code[code] = rate
            return by_code[cells.astype(np.int64).ravel()]
        resolution = float(entry(self.grid.setpoints[self.layer].ddi).resolution or 1)
        return np.asarray(cells[:, :, self.layer].ravel() * resolution, dtype=np.float64)

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
    plan = plan_of(task, wanted, plane, field)
    return plan if plan.polygons or plan.grid is not None else None


def plan_of(task: Task, wanted: Wanted, plane: LocalPlane, field: Any) -> RatePlan:
    """Return what a task meant of a quantity, by its default alone where it has neither zones with ground nor a grid.

    Parameters
    ----------
    field : shape or None
        The field in the plane.
    """
    rates = {zone.code: rate for zone in task.zones if (rate := _rate(zone.setpoints, wanted)) is not None}
    shaped = ((zone, ground_of(zone.areas, plane)) for zone in task.zones if zone.code in rates and zone.areas)
    polygons = tuple((zone.code, shape) for zone, shape in shaped if shape is not None)
    for _, shape in polygons:
        shapely.prepare(shape)
    if field is not None:
        shapely.prepare(field)
    layer = _layer(task.grid, task.zones, wanted)
    grid = task.grid if layer is not None else None
    return RatePlan(plane, rates, polygons, grid, layer or 0, task.default_zone, task.out_of_field_zone, field)


def _rate(setpoints: Sequence[Setpoint], wanted: Wanted) -> float | None:
    """Return the rate that setpoints of a zone state: that of the product itself before one that names none."""
    found = [setpoint for setpoint in setpoints if wanted.fits(setpoint)]
    for setpoint in sorted(found, key=lambda item: item.product != wanted.product):
        return setpoint.value * float(entry(setpoint.ddi).resolution or 1)
    return None


def _layer(grid: Grid | None, zones: Sequence[Zone], wanted: Wanted) -> int | None:
    """Return which value of the cells of a grid is that of the quantity; None where none is, or cells are not there."""
    if grid is None or not _is_sound(grid):
        return None
    if grid.kind == KIND_OF_CODES:
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
    rates = plan.cell_rates()
    if rates is None:
        return
    rate = rates[row[on] * grid.columns + column[on]]
    known = np.isfinite(rate)
    on, rate = on[known], rate[known]
    codes = np.asarray(grid.cells)[row[on], column[on]] if grid.kind == KIND_OF_CODES else _template(grid)
    found.code[on], found.rate[on] = codes, rate


def _template(grid: Grid) -> int:
    return NO_ZONE + 1 if grid.template is None else grid.template
