"""Layers of coverage, taken out of the layers of a source."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.exchange.swath_values import measured, working
from taskdata.fieldwork.swaths.swath_rows import SwathRows
from taskdata.fieldwork.swaths.swath_tasks import SwathLayer
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable, item_paths
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.options import Said, TakeOptions
from taskdata.formats.foreign.roles import column_values
from taskdata.formats.foreign.roles.judgement import Judgement, Shape
from taskdata.formats.foreign.times import stamps_of, times_of
from taskdata.formats.geometries.decoding import shapes_in
from taskdata.formats.layers.of_dataset import COMPUTED_ANEW, is_computed, own_name
from taskdata.formats.layers.swaths import SPEC
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.raised_rules.import_.layer_left_out import RULE as LAYER_LEFT_OUT
from taskdata.raised_rules.import_.log_columns_left_out import RULE as COLUMNS_LEFT_OUT
from taskdata.results.survey import ColumnRole, ItemKind

_TASK, _FIELD, _NAME = "task", "field", "name"


@dataclass(frozen=True)
class TakenSwaths:
    """Coverage of a source, its other layers, and what of the coverage has no place in a log."""

    layers: tuple[SwathLayer, ...]
    rest: PlacedLayers
    findings: tuple[Finding, ...]


def is_swaths(raw: RawTable) -> bool:
    """Tell whether a table is the layer of that name, with or without what else this package writes."""
    return SPEC.name in (raw.name, own_name(raw)) and GEOMETRY in raw.table.column_names


def take_swaths(
    source: PlacedLayers, options: TakeOptions, judged: Mapping[str, Mapping[Shape, Judgement]]
) -> TakenSwaths:
    """Take the layers of coverage out of a source: those called so, and those that were judged to be some.

    Parameters
    ----------
    judged : mapping
        What the layers of other programs are; see `judge_shapes`.
    """
    layers: list[SwathLayer] = []
    findings: list[Finding] = []
    rest = dict(source.tables)
    paths = item_paths(source.tables)
    for name, raw in source.tables.items():
        if is_swaths(raw):
            layers += _own(raw)
        elif (found := _of_coverage(judged.get(name, {}))) is not None:
            said = options.said_of(paths[name], raw.table.column_names)
            layers.append(_foreign(raw, found, said))
            findings += _left(raw, found)
        elif is_computed(raw) and _is_nothing_else(judged.get(name, {})):
            findings.append(LAYER_LEFT_OUT.at(Place(file=raw.file), layer=raw.label, reason=COMPUTED_ANEW))
        else:
            continue
        del rest[name]
    return TakenSwaths(tuple(layers), replace(source, tables=rest), tuple(findings))


def _of_coverage(parts: Mapping[Shape, Judgement]) -> Judgement | None:
    return next((part for part in parts.values() if part.kind is ItemKind.SWATH), None)


def _is_nothing_else(parts: Mapping[Shape, Judgement]) -> bool:
    """Tell whether nobody says that a layer of results is something to be read."""
    return all(part.kind is ItemKind.OTHER for part in parts.values())


def _own(raw: RawTable) -> Iterator[SwathLayer]:
    """Yield the layers that the rows of a layer ``swaths`` are, one for each task that it names."""
    table = raw.table
    tasks = table[_TASK].cast(pa.string()) if _TASK in table.column_names else pa.nulls(len(table), pa.string())
    for task in pc.unique(tasks).to_pylist():
        rows = table.filter(pc.is_null(tasks) if task is None else pc.equal(tasks, task))
        order, heading = _column(rows, "order"), _column(rows, "heading_deg")
        part = _column(rows, "part")
        told = order is not None and bool(np.isfinite(order).any())
        found = SwathRows(
            shapes_in(rows[GEOMETRY]),
            time=_stamps(rows, "start"),
            end=_stamps(rows, "end"),
            order=None if order is None or not told else order + np.nan_to_num(part if part is not None else 0.0) / 1e6,
            width_m=_column(rows, "width_m"),
            heading_deg=heading,
            directed=None if heading is None else np.isfinite(heading),
            in_order=order is None,
        )
        fields = [name for name in _texts(rows, _FIELD) if name is not None]
        name = next((text for text in _texts(rows, _NAME) if text is not None), raw.name)
        yield SwathLayer(raw.label, raw.file, name, found, task, fields[0] if fields else None)


def _column(table: pa.Table, name: str) -> NDArray[np.float64] | None:
    return column_values.numbers(table[name]) if name in table.column_names else None


def _texts(table: pa.Table, name: str) -> list[str | None]:
    return column_values.texts(table[name]) if name in table.column_names else []


def _stamps(table: pa.Table, name: str) -> NDArray[np.datetime64] | None:
    if name not in table.column_names:
        return None
    if pa.types.is_timestamp(table[name].type):
        return stamps_of(table[name])
    found = times_of(table.select([name]).rename_columns(["time"]))
    return None if found is None else found.values


def _foreign(raw: RawTable, judged: Judgement, said: Said) -> SwathLayer:
    """Return the rows of a layer that was judged to be coverage."""
    table = raw.table
    times = times_of(table.select(list(judged.columns[ColumnRole.TIME]))) if ColumnRole.TIME in judged.columns else None
    rows = SwathRows(
        shapes_in(table[GEOMETRY]),
        time=None if times is None else times.values,
        width_m=measured(table, judged, said, ColumnRole.WIDTH),
        heading_deg=measured(table, judged, said, ColumnRole.HEADING),
        working=working(table, judged),
    )
    return SwathLayer(raw.label, raw.file, raw.name, rows)


def _left(raw: RawTable, judged: Judgement) -> Iterator[Finding]:
    roles = (ColumnRole.TIME, ColumnRole.WIDTH, ColumnRole.HEADING, ColumnRole.STATE)
    used = {GEOMETRY, *(name for role in roles for name in judged.columns.get(role, ()))}
    left = [name for name in raw.table.column_names if name not in used]
    if left:
        yield COLUMNS_LEFT_OUT.at(Place(file=raw.file), layer=raw.label, columns=", ".join(left))
