"""Rates, constants and logged values as the set itself wants them shown, else in the units of a farm."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.model.logs import Log
from taskdata.model.machines import Machine
from taskdata.model.machines import Presentation as Described
from taskdata.model.tasks import Setpoint, Task
from taskdata.quantities.dictionary import entry
from taskdata.quantities.units import System, convert
from taskdata.reports.remembered import basis_of

_WHOLE = 1e5
"""From here on decimals say nothing."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A value to show.

    Parameters
    ----------
    text : str
        The number alone.
    unit : str or None
        Empty for states, codes and bare numbers; None = not known, the number is the raw one.
    by : str
        ``set`` where a presentation of the set or device decides, ``dictionary``, or ``raw``.
    """

    text: str
    unit: str | None
    by: str


def shown(raw: int, ddi: int, system: System, described: Described | None = None) -> Shown:
    """Return a raw value as text: by the presentation ``(raw + offset) x scale`` where it has one (D.25, D.51)."""
    presentation = None if described is None else described.usable
    if presentation is not None:
        return Shown(presentation.text(raw), presentation.unit, "set")
    value, unit = convert(raw, ddi, system)
    if unit is None:
        return Shown(str(raw), None, "raw")
    return Shown(f"{value:.0f}" if abs(value) >= _WHOLE else f"{value:.6g}", unit, "dictionary")


def task_values(task: Task, system: System) -> list[dict[str, Any]]:
    """Return the span of the wanted values of a task, one for each quantity, product and part."""
    spans: dict[tuple[Any, ...], list[tuple[Setpoint, int]]] = {}
    for setpoint, value in _wanted(task):
        key = (setpoint.ddi, setpoint.product, setpoint.part, setpoint.presentation)
        spans.setdefault(key, []).append((setpoint, value))
    found = []
    for pairs in spans.values():
        values = [value for _, value in pairs]
        first = pairs[0][0]
        facts = _span(first.ddi, (min(values), max(values)), system, first.presentation)
        found.append({**facts, "product": first.product, "part": first.part})
    return found


def machine_values(machine: Machine, system: System) -> list[dict[str, Any]]:
    """Return the constants of a machine, one for each part and quantity."""
    return [
        {**_span(item.ddi, (item.value, item.value), system, item.presentation, item.name), "part": part.id}
        for part in machine.parts
        for item in part.quantities
        if item.value is not None
    ]


def log_values(log: Log, system: System) -> list[dict[str, Any]]:
    """Return the span of each quantity of a log, in the order of its header; those without a value are left out."""
    records = log.records
    if records is None:
        return []
    found = []
    for index, quantity in enumerate(log.quantities):
        values = records.value[records.value_index == index]
        if len(values):
            ends = (int(np.min(values)), int(np.max(values)))
            facts = _span(quantity.ddi, ends, system, quantity.presentation, quantity.name)
            found.append({**facts, "part": quantity.part})
    return found


def span_text(span: dict[str, Any]) -> str:
    """Return a span for a person: ``Name: 150 to 250 L/ha``; different states have no span."""
    low, high = span["minimum"], span["maximum"]
    if low != high and not span["unit"] and entry(int(span["ddi"], 16)).group == "state":
        return f"{span['quantity']}: several states"
    number = low if low == high else f"{low} to {high}"
    unit = " (raw)" if span["unit"] is None else f" {span['unit']}"
    return f"{span['quantity']}: {number}{unit}".rstrip()


def _wanted(task: Task) -> Iterator[tuple[Setpoint, int]]:
    """Yield the setpoints of zones with their values, and those of a grid with its lowest and highest."""
    grid = task.grid
    template = grid.template if grid is not None and grid.kind == 2 else None
    for zone in task.zones:
        if zone.code != template:
            yield from ((setpoint, setpoint.value) for setpoint in zone.setpoints)
    if grid is not None and grid.kind == 2 and grid.cells is not None and grid.cells.size:
        cells = grid.cells.reshape(-1, grid.cells.shape[-1])
        for setpoint, lowest, highest in zip(grid.setpoints, cells.min(axis=0), cells.max(axis=0), strict=False):
            yield from ((setpoint, int(value)) for value in (lowest, highest))


def _span(
    ddi: int, ends: tuple[int, int], system: System, described: Described | None, name: str | None = None
) -> dict[str, Any]:
    first, last = (shown(value, ddi, system, described) for value in ends)
    return {
        "ddi": f"{ddi:04X}",
        "quantity": name if name not in {None, entry(ddi).name} else entry(ddi).plain_name,
        "minimum": first.text,
        "maximum": last.text,
        "unit": first.unit,
        "shown_by": first.by,
        "basis": basis_of(ddi, first.unit) if first.by == "dictionary" else None,
    }
