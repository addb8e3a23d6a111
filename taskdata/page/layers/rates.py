"""Treatment zones and grid cells by their rate, in classes of the palette with a legend in the reader's unit."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.formats.layers.rates import scale_of
from taskdata.model.dataset import Dataset
from taskdata.model.tasks import Grid, Setpoint, Task, Zone
from taskdata.page.layers.ground import polygons, titled
from taskdata.page.scene import Coordinates, Form, SceneLayer, Shape
from taskdata.page.wording import Wording
from taskdata.palette import RATES


@dataclass(frozen=True, slots=True)
class Classes:
    """Classes of rates: their upper bounds but for the last one, and what each is called."""

    bounds: NDArray[np.float64]
    words: tuple[str, ...]

    def style(self, rate: float | None) -> str:
        """Return the style of a rate."""
        if rate is None or not np.isfinite(rate):
            return "rate-none"
        number = int(np.searchsorted(self.bounds, rate, side="left"))
        return f"rate-{_style_number(number, len(self.words))}"

    def legend(self) -> list[tuple[str, str]]:
        """Return style and words of each class, the highest first."""
        count = len(self.words)
        return [(f"rate-{_style_number(number, count)}", self.words[number]) for number in reversed(range(count))]


def classes_of(rates: Sequence[float], unit: str, word: Wording) -> Classes:
    """Return classes of rates: each rate its own while there are few, else of equal width."""
    values = np.unique(np.array([rate for rate in rates if np.isfinite(rate)]))
    if len(values) <= RATES:
        words = tuple(f"{word.short(float(value))} {unit}".strip() for value in values)
        return Classes((values[:-1] + values[1:]) / 2.0, words)
    edges = np.linspace(values[0], values[-1], RATES + 1)
    spans = zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True)
    to = word.t("to")
    words = tuple(f"{word.short(low)} {to} {word.short(high)} {unit}".strip() for low, high in spans)
    return Classes(edges[1:-1], words)


def rate_layers(dataset: Dataset, word: Wording, worked: Collection[str] = ()) -> Iterator[SceneLayer]:
    """Yield zones and cells of each task, a layer for each quantity.

    Only the first of a task is shown at first, and none of a task in ``worked``, which has coverage to show.
    """
    products = {product.id: product.name for product in dataset.products}
    for task in dataset.tasks:
        layers = [*_zone_layers(task, products, word), *_grid_layers(task, products, word)]
        for number, layer in enumerate(layers):
            shown = number == 0 and task.id not in worked
            yield SceneLayer(layer.name, layer.label, layer.shapes, layer.legend, shown, layer.note)


def _zone_layers(task: Task, products: dict[str, str], word: Wording) -> Iterator[SceneLayer]:
    drawn = [(zone, polygons(zone.areas)) for zone in task.zones if zone.areas]
    for quantity in _quantities([item for zone, _ in drawn for item in zone.setpoints]):
        rates = {id(zone): _rate_in(zone, quantity, word) for zone, _ in drawn}
        unit = _shown(quantity, word)[2]
        classes = classes_of([rate for rate in rates.values() if rate is not None], unit, word)
        shapes = [_zone(zone, shown, (rates[id(zone)], unit, classes), task, word) for zone, shown in drawn if shown]
        label = _label(task, quantity, products, word)
        name = f"zones-{task.id}-{quantity.ddi}-{quantity.product or ''}"
        yield SceneLayer(name, label, shapes, _legend(shapes, classes, word))


def _zone(
    zone: Zone,
    shown: list[list[Coordinates]],
    rated: tuple[float | None, str, Classes],
    task: Task,
    word: Wording,
) -> Shape:
    rate, unit, classes = rated
    facts = [(word.t("Rate"), word.t("none") if rate is None else f"{word.short(rate)} {unit}".strip())]
    facts.append((word.t("Task"), task.name or task.id))
    title = titled(word.t("Zone {code}", code=zone.code), zone.name, None)
    return Shape(Form.AREA, shown, classes.style(rate), title, facts)


def _grid_layers(task: Task, products: dict[str, str], word: Wording) -> Iterator[SceneLayer]:
    grid = task.grid
    if grid is None or grid.cells is None or not grid.cells.size:
        return
    for quantity, rates in _grid_rates(task, grid, word):
        unit = _shown(quantity, word)[2]
        known = rates[np.isfinite(rates)]
        classes = classes_of(np.unique(known).tolist(), unit, word)
        shapes = [_patch(grid, style, runs, classes, word) for style, runs in _runs(rates, classes).items()]
        label = _label(task, quantity, products, word)
        name = f"grid-{task.id}-{quantity.ddi}-{quantity.product or ''}"
        yield SceneLayer(name, label, shapes, _legend(shapes, classes, word))


def _grid_rates(task: Task, grid: Grid, word: Wording) -> Iterator[tuple[Setpoint, NDArray[np.float64]]]:
    """Yield each quantity of a grid with its rate in every cell, NaN where there is none."""
    cells = grid.cells
    if cells is None:
        return
    if grid.kind != 1:
        for number, setpoint in enumerate(grid.setpoints[: cells.shape[2]]):
            factor, offset, _ = _shown(setpoint, word)
            yield setpoint, cells[:, :, number].astype(np.float64) * factor + offset
        return
    zones = {zone.code: zone for zone in task.zones}
    for quantity in _quantities([item for zone in task.zones for item in zone.setpoints]):
        by_code = np.full(256, np.nan)
        for code, zone in zones.items():
            rate = _rate_in(zone, quantity, word)
            if 0 <= code < len(by_code) and rate is not None:
                by_code[code] = rate
        yield quantity, by_code[cells.astype(np.int64)]


def _runs(rates: NDArray[np.float64], classes: Classes) -> dict[str, list[tuple[int, int, int]]]:
    """Return the cells of each style as runs along a row: row, first column, column after the last."""
    different = np.unique(rates)
    styles = np.array([classes.style(rate) for rate in different])
    number = np.searchsorted(different, rates)
    found: dict[str, list[tuple[int, int, int]]] = {}
    for row in range(rates.shape[0]):
        of = styles[number[row]]
        edges = np.flatnonzero(np.append(True, of[1:] != of[:-1]))
        for first, last in zip(edges.tolist(), [*edges[1:].tolist(), len(of)], strict=True):
            found.setdefault(str(of[first]), []).append((row, first, last))
    return found


def _patch(grid: Grid, style: str, runs: list[tuple[int, int, int]], classes: Classes, word: Wording) -> Shape:
    lat, lon = grid.min_lat, grid.min_lon
    parts = []
    for row, first, last in runs:
        south, north = lat + row * grid.cell_lat, lat + (row + 1) * grid.cell_lat
        west, east = lon + first * grid.cell_lon, lon + last * grid.cell_lon
        parts.append([np.array([[west, south], [east, south], [east, north], [west, north], [west, south]])])
    words = dict(classes.legend()).get(style, word.t("none"))
    return Shape(Form.AREA, parts, style, word.t("Grid {file}", file=grid.file), [(word.t("Rate"), words)])


def _legend(shapes: Sequence[Shape], classes: Classes, word: Wording) -> list[tuple[str, str]]:
    without = any(shape.style == "rate-none" for shape in shapes)
    return [*classes.legend(), *([("rate-none", word.t("No rate"))] if without else [])]


def _quantities(setpoints: Sequence[Setpoint]) -> list[Setpoint]:
    """Return a setpoint for each quantity of a product."""
    found: dict[tuple[int, str | None], Setpoint] = {}
    for item in setpoints:
        found.setdefault((item.ddi, item.product), item)
    return list(found.values())


def _rate_in(zone: Zone, quantity: Setpoint, word: Wording) -> float | None:
    for item in zone.setpoints:
        if (item.ddi, item.product) == (quantity.ddi, quantity.product):
            factor, offset, _ = _shown(item, word)
            return item.value * factor + offset
    return None


def _shown(setpoint: Setpoint, word: Wording) -> tuple[float, float, str]:
    """Return what a raw value is multiplied with, what is added, and its unit; as it is stored where none is known."""
    scale = scale_of(setpoint, word.units)
    if scale is None:
        return 1.0, 0.0, ""
    zero, one = (scale.rate(raw) for raw in (0, 1))
    return one - zero, zero, scale.unit or ""


def _label(task: Task, quantity: Setpoint, products: dict[str, str], word: Wording) -> str:
    what = products.get(quantity.product or "") or quantity.product or word.quantity(quantity.ddi)
    return word.t("Planned rate: {what}, {task}", what=what, task=task.name or task.id)


def _style_number(number: int, count: int) -> int:
    """Return the style of a class, the whole range of the palette being used whatever their number."""
    return RATES if count == 1 else 1 + round(number * (RATES - 1) / (count - 1))
