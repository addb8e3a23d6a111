"""A rate is 10, 100 or 1000 times what the product is applied at elsewhere.

What it checks
    That the setpoints of treatment zones and grids of all tasks lie together, product by product and quantity by
    quantity; without a product, task by task. Where most lie together and others are just about 10, 100 or 1000
    times as high or as low, those are reported. Of a grid the median of its cells counts. Zeros do not count.
Why it matters
    Most likely a unit was mistaken: grams for kilograms, litres a hectare for millilitres a square metre. The machine
    applies what it is told.
Example
    Bad: 16 kg/ha and 18 kg/ha of a product in two zones, and 160 kg/ha in a third.
    Good: 16, 18 and 20 kg/ha.
How to fix
    Compare with the label and correct the value. Do not work with the map until then.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.findings import Finding, Place, Rule, Severity, Tolerance
from taskdata.geometry.arrays import Floats, median
from taskdata.model.tasks import Grid, Task
from taskdata.quantities.dictionary import entry

SPREAD = Tolerance("zone.unlikely-setpoint.spread", 5.0, "", "Usual ratio of neighbouring rates of one product")
NEAR = Tolerance("zone.unlikely-setpoint.near", 20.0, "%", "How near to 10, 100 or 1000 times counts")
RULE = Rule(
    id="zone.unlikely-setpoint",
    severity=Severity.WARNING,
    message="{task} sets {name} ({target}) to the raw value {value}, about {total} the value set elsewhere, {other}.",
    remedy="Compare with the product label and correct the unit or the value before you work with the map.",
    tolerances=(SPREAD, NEAR),
)
FACTORS = (1000.0, 100.0, 10.0, 0.1, 0.01, 0.001)
FACTOR_TEXTS = ("1000 times", "100 times", "10 times", "a tenth of", "a hundredth of", "a thousandth of")


@dataclass(frozen=True, slots=True)
class _Rate:
    """A value that is set: where, in which task, the raw value."""

    place: Place
    task: str
    value: float


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each task with such a rate, at its first zone or its grid."""
    for (ddi, product, _), rates in _by_quantity(subject).items():
        for rate, factor, usual in _unlikely(rates, subject.profile[SPREAD], subject.profile[NEAR] / 100.0):
            name, target = entry(ddi).plain_name, product or "no product"
            facts: dict[str, Any] = {"value": round(rate.value), "total": factor, "other": round(usual)}
            yield RULE.at(rate.place, task=rate.task, name=name, target=target, **facts)


def _by_quantity(subject: Subject) -> dict[tuple[int, str | None, str], list[_Rate]]:
    found: dict[tuple[int, str | None, str], list[_Rate]] = {}
    for task in subject.dataset.tasks:
        for ddi, product, rate in _rates(task):
            key = (ddi, product, "" if product is not None else task.id)
            found.setdefault(key, []).append(rate)
    return found


def _rates(task: Task) -> Iterator[tuple[int, str | None, _Rate]]:
    """Yield quantity, product and value of everything that a task sets and that is above 0."""
    for zone in task.zones:
        for setpoint in zone.setpoints:
            if setpoint.value > 0:
                yield setpoint.ddi, setpoint.product, _Rate(zone.place, task.id, float(setpoint.value))
    if task.grid is not None and task.grid.setpoints:
        for setpoint, value in zip(task.grid.setpoints, _medians(task.grid), strict=False):
            if value > 0:
                yield setpoint.ddi, setpoint.product, _Rate(task.grid.place, task.id, value)


def _medians(grid: Grid) -> list[float]:
    cells = grid.cells
    if cells is None:
        return []
    columns = np.asarray(cells, dtype=np.float64).reshape(-1, cells.shape[-1]).T
    return [float(median(column[column > 0])) if (column > 0).any() else 0.0 for column in columns]


def _unlikely(rates: list[_Rate], spread: float, near: float) -> Iterator[tuple[_Rate, str, float]]:
    """Yield the first rate of each task that is off, the factor as text, and the median of the others."""
    values: Floats = np.array([rate.value for rate in rates])
    order = np.argsort(values, kind="stable")
    splits = np.flatnonzero(np.diff(np.log(values[order])) > np.log(max(spread, 1.0))) + 1
    clusters = sorted(np.split(order, splits), key=len, reverse=True)
    if len(clusters) < 2 or len(clusters[0]) <= len(clusters[1]):
        return
    usual = float(median(values[clusters[0]]))
    for cluster in clusters[1:]:
        times = float(median(values[cluster])) / usual
        text = next((t for f, t in zip(FACTORS, FACTOR_TEXTS, strict=True) if abs(times / f - 1.0) <= near), None)
        seen: set[str] = set()
        for index in sorted(cluster.tolist()) if text is not None else ():
            if rates[index].task not in seen:
                seen.add(rates[index].task)
                yield rates[index], text or "", usual
