"""Making the task of a rate map: ground with rates, brought to zones or cells, billed, and laid into its set."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import cache, partial
from pathlib import Path

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.exchange.rate_maps.homes import Home, HomeRequest, home_of
from taskdata.exchange.rate_maps.reading import rate_source
from taskdata.exchange.rate_maps.sources import RateSource, Site
from taskdata.exchange.rate_maps.tasks import base_version, machine_of, with_setters, with_task
from taskdata.findings import Finding
from taskdata.formats.foreign.options import TakeOptions
from taskdata.isoxml.to_document.apply import document_of_records
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.ledger import Loss, LossKind
from taskdata.model.dataset import Dataset
from taskdata.model.machines import Machine
from taskdata.phrases import phrase
from taskdata.rates.cells import Frame, cell_rates, frame_over
from taskdata.rates.ground import Notes, RateGround
from taskdata.rates.map_request import MapRules, WantedRate
from taskdata.rates.storing import StoredRates, raw_of, raw_rule
from taskdata.rates.task_rates import Fallback, Setter, TaskRates, as_codes, as_setpoints, as_zones
from taskdata.rates.usual_rates import ask_about_given
from taskdata.results.conversion import Conversion
from taskdata.results.rate_maps import BillLine, MapForm, MapNote, MapQuantity, RateMap
from taskdata.results.reading import Datum
from taskdata.versions import has

MOST_CHANGE = 0.001
"""Share by which a total may change without being told."""

NO_GROUND_M2 = 0.01
"""Ground of less is what rounding leaves."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Everything that a caller asked of a rate map; see ``ratemap``."""

    wanted: tuple[WantedRate, ...]
    rules: MapRules
    home: HomeRequest
    task: str | None
    machine: str | None
    tank: float | None
    version: int | None


@dataclass(frozen=True, eq=False)
class Made:
    """What was made.

    Parameters
    ----------
    dataset : Dataset
        The set with the new task.
    task, field : str
        Identifier of the task, name of the field.
    rates : TaskRates
        The zones and the grid of the task.
    stored : StoredRates
        Its rates with the ground that gets them.
    ground : RateGround
        The ground of the map in the field.
    setters : tuple of Setter
        What sets each quantity.
    notes : list
        What is told.
    left_columns : tuple of str
        Columns of the layer that hold no rates.
    findings : tuple of Finding
        What reading the layers found.
    datum : tuple of Datum
        How coordinates were brought to WGS 84.
    """

    dataset: Dataset
    task: str
    field: str
    rates: TaskRates
    stored: StoredRates
    ground: RateGround
    setters: tuple[Setter, ...]
    notes: Notes
    left_columns: tuple[str, ...]
    findings: tuple[Finding, ...]
    datum: tuple[Datum, ...]

    @property
    def products(self) -> tuple[str | None, ...]:
        """The name of what each quantity applies."""
        return tuple(None if setter.product is None else setter.product.name for setter in self.setters)


def made_of(asked: Asked, options: TakeOptions) -> Made:
    """Read a map and make its task; nothing is written.

    Raises
    ------
    UsageError, SourceError
        What the layer or the set holds is at fault, or one of them cannot be read.
    """
    notes: Notes = []
    source = rate_source(asked.home.layer, asked.wanted, asked.rules, options, notes)
    home = home_of(asked.home, options, source.outline, notes)
    machine = machine_of(home.dataset, asked.machine)
    frame = cache(partial(_frame, home, machine, asked.rules, source, notes))
    ground = source.ground(Site(home.plane, home.ground, asked.rules, frame), notes)
    _refuse_unused(asked.rules, notes)
    dataset, setters = with_setters(home.with_field(), asked.wanted, machine, notes)
    major = base_version(dataset, asked.version)
    rates, stored = _stored(ground, home, asked, setters, frame, single=has("single setpoints", major))
    name = asked.task or Path(asked.home.layer).stem
    dataset, task = with_task(dataset, name, home.field, rates)
    if dataset.lossless is None:
        document, losses = document_of_records(dataset, major)
        dataset = to_dataset(document).with_changes(source=dataset.source, losses=tuple(losses))
    findings = (*source.findings, *home.findings)
    told = (tuple(source.left_columns), findings, source.datum)
    return Made(dataset, task.id, home.field.name, rates, stored, ground, setters, notes, *told)


def result_of(asked: Asked, made: Made, done: Conversion) -> RateMap:
    """Return what is told of a map that was written."""
    grid = made.rates.grid
    bill = _bill(made, asked)
    return RateMap(
        source=os.fspath(asked.home.layer),
        target=done.target,
        task=made.task,
        field=made.field,
        quantities=tuple(
            MapQuantity(item.entry.ddi, item.entry.plain_name, item.unit.name, name)
            for item, name in zip(asked.wanted, made.products, strict=True)
        ),
        form=asked.rules.form,
        cells=None if grid is None else grid.columns * grid.rows,
        zones=len(made.rates.zones),
        bill=bill,
        rates=made.stored.by_rate(asked.wanted),
        method=made.ground.method,
        method_error=made.ground.method_error,
        notes=(*made.notes, *_told(bill), *_rules(asked)),
        written=replace(done, losses=(*_losses(asked, made), *done.losses), findings=(*made.findings, *done.findings)),
    )


def _frame(home: Home, machine: Machine | None, rules: MapRules, source: RateSource, notes: Notes) -> Frame:
    """Return the cells over a field: as wide as asked for, else as the machine, the guidance line or the map has it."""
    every = (*home.field.guidance, *home.field.line_guidance)
    lines = [line for line in every if len(line.points) and np.isfinite(line.points[0]).all()]
    widths: dict[str, float | None] = {
        "as asked for": rules.cell_m,
        "the working width": None if machine is None else machine.working_width_m,
        "the spacing of the guidance line": next((line.spacing_m for line in lines if line.spacing_m), None),
    }
    why, width = next(((why, width) for why, width in widths.items() if width), ("those of the map", None))
    own = source.own_cells() if width is None else None
    width = own.side_m if own is not None else width
    if width is None:
        what = phrase("how wide cells are is not known")
        raise UsageError(what, where=home.field.name, remedy="Give [[cell_m]], such as the working width")
    origin = lines[0].points[0] if lines else None if own is None else own.middle
    centred = f"; one is centred on the first point of {lines[0].name or lines[0].id}" if lines else ""
    notes.append((MapNote.CELL, f"{width:.4g} m wide, {why}{centred}"))
    return frame_over(home.ground, home.plane, width, origin)


def _refuse_unused(rules: MapRules, notes: Notes) -> None:
    """Refuse a side of cells for zones that have none."""
    if rules.form is MapForm.ZONES and rules.cell_m is not None and all(note is not MapNote.CELL for note, _ in notes):
        what = phrase("zones keep the outlines of the map and have no cells")
        raise UsageError(what, remedy="Leave [[cell_m]] out, or choose [[form=grid2]]")


def _stored(
    ground: RateGround,
    home: Home,
    asked: Asked,
    setters: tuple[Setter, ...],
    frame: Callable[[], Frame],
    *,
    single: bool,
) -> tuple[TaskRates, StoredRates]:
    """Return zones or a grid with the rates of a ground, and these rates with the ground that gets them."""
    wanted, rules = asked.wanted, asked.rules
    fallback = Fallback(*(raw_rule(rates, wanted) for rates in (rules.gap, rules.lost, rules.outside)))
    if not rules.accept_rates:
        ask_about_given(rules, wanted)
    if rules.form is MapForm.ZONES:
        filled = ground.filled(rules.gap)
        areas, raw = filled.areas, raw_of(filled.rates, filled.areas, wanted, rules)
        rest = ground.field_m2 - float(areas.sum())
        rest = rest if rest > NO_GROUND_M2 else 0.0
        stored = StoredRates(np.vstack([raw, fallback.gap]), np.append(areas, rest))
        return as_zones(filled.shapes, raw, home.plane, setters, fallback, single=single), stored
    cells = frame()
    areas, rates = cells.ground, cell_rates(cells, ground, rules.gap)
    raw = raw_of(np.nan_to_num(rates), areas, wanted, rules)
    make = as_codes if rules.form is MapForm.GRID_1 else as_setpoints
    return make(raw, areas > 0.0, cells.placement, setters, fallback), StoredRates(raw, areas)


def _bill(made: Made, asked: Asked) -> tuple[BillLine, ...]:
    before, after = made.ground.totals(asked.rules.gap).tolist(), made.stored.totals(asked.wanted).tolist()
    lines = []
    for item, name, asks, gives in zip(asked.wanted, made.products, before, after, strict=True):
        per, area = item.unit.per_m2, made.ground.field_m2
        lines.append(BillLine(name, item.unit.amount, area, asks * per, gives * per, asked.tank))
    return tuple(lines)


def _losses(asked: Asked, made: Made) -> Iterator[Loss]:
    """Yield what of the map the task does not hold as it was."""
    if made.left_columns:
        yield Loss(
            LossKind.DROPPED,
            None,
            phrase("columns {left_columns}", left_columns=", ".join(made.left_columns)),
            phrase("a rate map holds rates alone"),
        )
    outside = sum(float(fact) for note, fact in made.notes if note is MapNote.OUTSIDE_FIELD)
    if outside:
        yield Loss(
            LossKind.DROPPED,
            made.task,
            phrase("{outside:.0f} m² of the map", outside=outside),
            phrase("they lie outside the field"),
        )
    if asked.rules.form is not MapForm.ZONES:
        why = phrase("the total stays")
        yield Loss(LossKind.APPROXIMATED, made.task, phrase("rates within a cell become the mean of its ground"), why)
    if asked.rules.classing is not None:
        why = phrase("classes were asked for; the total stays")
        yield Loss(LossKind.CHANGED, made.task, phrase("rates of a class become the mean of its ground"), why)
    if asked.rules.round_to is not None:
        what = phrase("rates are rounded to steps of {round_to:g}", round_to=asked.rules.round_to)
        yield Loss(LossKind.CHANGED, made.task, what, phrase("it was asked for"))


def _told(bill: Iterable[BillLine]) -> Iterator[tuple[MapNote, str]]:
    """Yield a note for each total that changed by more than may go unsaid."""
    for at, line in enumerate(bill):
        if abs(line.difference) > MOST_CHANGE * line.before:
            yield MapNote.TOTAL_CHANGED, str(at)


def _rules(asked: Asked) -> Iterator[tuple[MapNote, str]]:
    """Yield what is applied where the map says nothing."""
    rules = asked.rules
    for at, item in enumerate(asked.wanted):
        rates = (rules.gap[at], rules.lost[at], rules.outside[at])
        yield MapNote.RULES, " ".join(f"{rate:g}" for rate in rates) + f" {item.unit.name}"
