"""What somebody changed in layers, brought back into the data set they were written from."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pyarrow as pa

from taskdata.formats.base import RawTable
from taskdata.formats.columns import ARROW, GEOMETRY, Layer, LayerSpec
from taskdata.formats.edits.diff_layer import LayerDiff, Ledger, diff_layer
from taskdata.formats.edits.field_drafts import FieldMerger, LayerDiffs, identical
from taskdata.formats.edits.owners import with_owners
from taskdata.formats.edits.task_drafts import check_logs, check_values, merged_grids, merged_zones
from taskdata.formats.edits.zone_rates import with_setpoints
from taskdata.formats.layers import areas, fields, guidance, lines, log_values, points, zones
from taskdata.formats.layers.of_dataset import SPECS, project
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.ledger import Loss
from taskdata.model.dataset import Dataset
from taskdata.model.fields import CONTRADICTION_DEG, GuidanceLine, turned
from taskdata.phrases import phrase


def merge(base: Dataset, source: PlacedLayers) -> tuple[Dataset, list[Loss]]:
    """Bring the changes in layers back.

    ``base`` is projected to layers again and compared row by row, by key, with what was read.

    Parameters
    ----------
    base : Dataset
        What the layers were written from.
    source : PlacedLayers
        The layers as read.

    Returns
    -------
    dataset : Dataset
        ``base`` itself where nothing changed. Else records whose rows did not change are the identical objects;
        changed ones are new objects with the same key, and so is everything that holds them; removed ones are left
        out; added ones have no key.
    losses : list of Loss
        Changes that cannot be taken back.
    """
    layers = {layer.name: layer for layer in project(base)}
    ledger = Ledger()
    source = _with_rates(base, source, ledger)
    compare = _comparison(source, layers, ledger)
    found = LayerDiffs(
        fields=compare(fields, base.fields),
        areas=compare(areas, [area for _, _, area in areas.every(base)]),
        lines=compare(lines, base.lines),
        guidance=compare(guidance, [line for field in base.fields for line in field.guidance]),
        points=compare(points, base.points),
    )
    owned = with_owners(base, found.fields, ledger)
    tell_headings(found.guidance, ledger)
    estate = FieldMerger(base.fields, found, ledger, Path(source.path).stem)
    for layer, row, record in estate.moved:
        estate.place(layer, row, record)
    for name, result in (("lines", found.lines), ("guidance_lines", found.guidance), ("points", found.points)):
        for row, record in result.added:
            estate.place(name, row, record)
    for row, area in found.areas.added:
        estate.place("areas", row, area)
    found_zones: LayerDiff[Any] = compare(zones, [zone for task in base.tasks for zone in task.zones])
    tasks = merged_zones(base.tasks, found_zones, ledger)
    tasks = merged_grids(tasks, *_pair("grid_cells", layers, source), ledger)
    check_logs(*_pair("log_records", layers, source), ledger)
    check_values(base, source.tables.get(log_values.SPEC.name), ledger)
    for name in source.tables:
        if name not in SPECS:
            ledger.drop(
                None, phrase("the table {name}", name=name), phrase("it is not one of the layers that were written")
            )
    plots = estate.finished()
    if owned is base and identical(plots, base.fields) and identical(tasks, base.tasks):
        return base, ledger.losses
    return owned.with_changes(fields=plots, tasks=tuple(tasks)), ledger.losses


def _with_rates(base: Dataset, source: PlacedLayers, ledger: Ledger) -> PlacedLayers:
    """Return layers with what was typed of the rates of zones in the one column that zones are made of."""
    name = zones.SPEC.name
    typed = with_setpoints(source.tables.get(name), base.tasks, ledger)
    return source if typed is None else replace(source, tables={**source.tables, name: typed})


def tell_headings(found: LayerDiff[GuidanceLine], ledger: Ledger) -> None:
    """Note the directions whose heading was typed and contradicts the line that was drawn: the heading decides."""
    typed = [(row, record) for row, record in found.added if row.get("heading_deg") is not None]
    for key, changes in found.changes.items():
        if "heading_deg" in changes.values and changes.moved:
            typed.append(({GEOMETRY: changes.geometry}, found.kept[key]))
    for row, line in typed:
        drawn = guidance.drawn_heading(line, row[GEOMETRY])
        if drawn is not None and line.heading_deg is not None and turned(line.heading_deg, drawn) > CONTRADICTION_DEG:
            what = phrase("{name} is drawn at {drawn:.2f}°", name=line.name or line.id or "a new line", drawn=drawn)
            ledger.change(
                line.id,
                what,
                phrase("its stated heading of {heading_deg:g}° takes precedence", heading_deg=line.heading_deg),
            )


def _comparison(source: PlacedLayers, layers: dict[str, Layer], ledger: Ledger) -> Callable[[Any, Iterable[Any]], Any]:
    """Return a function that compares one layer, given its module and its records."""

    def compare(module: Any, records: Iterable[Any]) -> LayerDiff[Any]:
        name = module.SPEC.name
        layer, raw = _pair(name, layers, source)
        reprojected = name in source.moved
        return diff_layer(layer, raw, records, ledger, made=module.made, edited=module.edited, reprojected=reprojected)

    return compare


def _pair(name: str, layers: dict[str, Layer], source: PlacedLayers) -> tuple[Layer, Any]:
    layer = layers.get(name) or _empty(SPECS[name])
    raw = source.tables.get(name)
    return layer, RawTable(name, name, layer.table) if raw is None and not source.whole else raw


def _empty(spec: LayerSpec) -> Layer:
    schema = pa.schema([(column.name, ARROW[column.type]) for column in spec.columns] + [(GEOMETRY, pa.binary())])
    return Layer(spec, schema.empty_table())
