"""How much of each product tasks that are not begun ask for: rates by the ground that they hold on.

Where rates hold is what `RatePlan` says: by the grid, else the zones, the first where they overlap, else the default,
all of it within the boundary of the field.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np
import shapely

from taskdata.fieldwork.applied.channels import BY_AREA, Channel
from taskdata.fieldwork.applied.rate_plans import KIND_OF_CODES, RatePlan, Wanted, plan_of
from taskdata.fieldwork.field_ground import ground_of
from taskdata.geometry.arrays import Floats
from taskdata.geometry.patches import Shapes, cut, faces, lattice_quads
from taskdata.geometry.plane import LocalPlane
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.tasks import Setpoint, Task, TaskStatus
from taskdata.quantities.dictionary import entry
from taskdata.results.planned import PlannedAmount

_OVER = frozenset({TaskStatus.COMPLETED, TaskStatus.TEMPLATE, TaskStatus.CANCELLED})


class _Ground(NamedTuple):
    """Areas in m² with the rate by square metre that holds on each, (n,) both."""

    area: Floats
    rate: Floats


def planned_amounts(dataset: Dataset) -> tuple[PlannedAmount, ...]:
    """Return what tasks without a log ask for that are neither completed, cancelled nor templates, in their order."""
    fields = {field.id: field for field in dataset.fields}
    return tuple(
        amount
        for task in dataset.tasks
        if not task.logs and task.status not in _OVER
        for amount in _of_task(task, fields.get(task.field or ""))
    )


def _of_task(task: Task, field: Field | None) -> Iterator[PlannedAmount]:
    wanted = _quantities(task)
    plane = _plane(task, field) if wanted else None
    if plane is None:
        return
    outline = None if field is None else ground_of(field.boundaries, plane)
    for quantity, same in wanted.items():
        plan = plan_of(task, Wanted((Channel(quantity[0], None),), {}, quantity[1]), plane, outline)
        ground = _ground(plan) if same else None
        if ground is None:
            yield PlannedAmount(task.id, *quantity, None, None)
        elif len(ground.area):
            yield PlannedAmount(task.id, *quantity, float(ground.area.sum()), float(ground.area @ ground.rate))


def _quantities(task: Task) -> dict[tuple[int, str | None], bool]:
    """Return each rate by area of a product that is set, and whether each zone with ground tells one rate of it.

    A rate without a product is that of the products that others of its kind name.
    """
    grid = task.grid
    by_code = grid is not None and grid.kind == KIND_OF_CODES
    zones = [zone for zone in task.zones if zone.areas or zone.code == task.default_zone or by_code]
    lists = [[item for item in zone.setpoints if _is_rate(item)] for zone in zones]
    lists += [[item for item in grid.setpoints if _is_rate(item)]] if grid is not None else []
    keys = dict.fromkeys((item.ddi, item.product) for items in lists for item in items)
    named = {ddi for ddi, product in keys if product is not None}
    return {
        key: all(_tells(items, *key) for items in lists) for key in keys if key[1] is not None or key[0] not in named
    }


def _tells(setpoints: Sequence[Setpoint], ddi: int, product: str | None) -> bool:
    """Tell whether setpoints of a zone state no more than one rate of a product."""
    own = {item.value for item in setpoints if (item.ddi, item.product) == (ddi, product)}
    return len(own or {item.value for item in setpoints if (item.ddi, item.product) == (ddi, None)}) < 2


def _is_rate(setpoint: Setpoint) -> bool:
    found = entry(setpoint.ddi)
    return found.kind == "setpoint" and (found.unit or "") in BY_AREA


def _plane(task: Task, field: Field | None) -> LocalPlane | None:
    rings = [ring for area in field.boundaries for ring in area.exteriors] if field else []
    rings = rings or [ring for zone in task.zones for area in zone.areas for ring in area.exteriors]
    grid = task.grid
    if not rings and grid is not None:
        west, south = grid.min_lon, grid.min_lat
        east, north = west + grid.columns * grid.cell_lon, south + grid.rows * grid.cell_lat
        rings = [np.array([[west, south], [east, north]])]
    return LocalPlane.about(rings) if rings else None


def _ground(plan: RatePlan) -> _Ground | None:
    """Return ground by rate; None where a grid and zones with polygons hold beside each other."""
    if plan.grid is not None and plan.polygons:
        return None
    found = _cells(plan) if plan.grid is not None else _zones(plan)
    known = found.area > 0.0
    area, rate = found.area[known], found.rate[known]
    if plan.default in plan.rates and plan.field is not None:
        rest = max(0.0, float(shapely.area(plan.field)) - float(area.sum()))
        area, rate = np.append(area, rest), np.append(rate, plan.rates[plan.default])
    return _Ground(area, rate)


def _zones(plan: RatePlan) -> _Ground:
    if not plan.polygons:
        return _Ground(np.empty(0), np.empty(0))
    found = faces(np.array([shape for _, shape in plan.polygons], dtype=object))
    first = np.flatnonzero(np.diff(found.face, prepend=-1))
    rates = np.array([plan.rates[code] for code, _ in plan.polygons])
    return _Ground(_areas(found.shapes[found.face[first]], plan.field), rates[found.patch[first]])


def _cells(plan: RatePlan) -> _Ground:
    grid, rate = plan.grid, plan.cell_rates()
    if grid is None or rate is None:
        return _Ground(np.empty(0), np.empty(0))
    north = grid.min_lat + np.arange(grid.rows + 1) * grid.cell_lat
    east = grid.min_lon + np.arange(grid.columns + 1) * grid.cell_lon
    nodes = plan.plane.forward(np.column_stack([axis.ravel() for axis in np.meshgrid(east, north)]))
    known = np.flatnonzero(np.isfinite(rate))
    shapes = lattice_quads(nodes.reshape(grid.rows + 1, grid.columns + 1, 2))[known]
    return _Ground(_areas(shapes, plan.field), rate[known])


def _areas(shapes: Shapes, field: Any) -> Floats:
    return np.asarray(shapely.area(shapes if field is None else cut(shapes, field)), dtype=np.float64)
