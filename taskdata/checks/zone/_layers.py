"""Treatment zones with polygons by what they are for, measured on the ground."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import shapely

from taskdata.checks._field_shapes import field_shape_of, plane_about, shape_of
from taskdata.checks._ground import inside_point
from taskdata.checks._once import once
from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.geometry.nearest import in_metres
from taskdata.geometry.plane import LocalPlane
from taskdata.model.tasks import Task, Zone


@dataclass(frozen=True, eq=False)
class Sheet:
    """A zone on the ground: its polygons as one shape in metres, its value in the layer."""

    zone: Zone
    shape: Any
    value: int


@dataclass(frozen=True, eq=False)
class Layer:
    """The zones of a task that set one quantity of one product (ISO 11783-10, 6.8.1.2)."""

    task: Task
    plane: LocalPlane
    sheets: tuple[Sheet, ...]

    def place_in(self, shape: Any) -> tuple[float, float]:
        """Return longitude and latitude of a place in the largest part of a shape in metres."""
        lon, lat = self.plane.inverse(inside_point(shape))[0].tolist()
        return lon, lat


@once
def layers(subject: Subject) -> tuple[Layer, ...]:
    """Return the layers of every task whose zones have valid polygons; made once for a set.

    Layers that consist of the same zones, as of a mixture, are one.
    """
    return tuple(layer for task in subject.dataset.tasks for layer in _of(subject, task))


def has_default(task: Task) -> bool:
    """Tell whether a task names a default zone and has it."""
    return any(zone.code == task.default_zone for zone in task.zones)


def _of(subject: Subject, task: Task) -> Iterator[Layer]:
    drawn = [(zone, shape_of(zone.areas)) for zone in task.zones if zone.areas]
    if not drawn or any(shape is None or shapely.is_empty(shape) for _, shape in drawn):
        return
    plot = field_shape_of(subject, task.field)
    plane = plane_about(tuple(shapely.bounds(drawn[0][1]).tolist())) if plot is None else plot.plane
    by_quantity: dict[tuple[int, str | None], dict[int, Sheet]] = {}
    for number, (zone, shape) in enumerate(drawn):
        ground = in_metres(shape, plane)
        for setpoint in zone.setpoints:
            sheets = by_quantity.setdefault((setpoint.ddi, setpoint.product), {})
            sheets.setdefault(number, Sheet(zone, ground, setpoint.value))
    seen: set[frozenset[int]] = set()
    for sheets in by_quantity.values():
        if frozenset(sheets) not in seen:
            seen.add(frozenset(sheets))
            yield Layer(task, plane, tuple(sheets.values()))
