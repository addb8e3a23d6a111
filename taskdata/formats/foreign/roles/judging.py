"""What each layer is: a field, another area, a guidance line, a log or something else."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

import numpy as np
import shapely

from taskdata.formats.base import RawTable, item_paths
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.kind_words import kind_column, line_kind
from taskdata.formats.foreign.options import Said, TakeOptions
from taskdata.formats.foreign.position_logs import position_log
from taskdata.formats.foreign.roles import column_values
from taskdata.formats.foreign.roles.columns import columns_of
from taskdata.formats.foreign.roles.judgement import Judgement, Shape, shapes_of
from taskdata.results.survey import ColumnRole, ItemKind


def judge(tables: Mapping[str, RawTable], options: TakeOptions) -> dict[str, Judgement]:
    """Return what each layer most likely is; of one with rows of several shapes, what most of its rows are.

    Parameters
    ----------
    tables : mapping of str to RawTable
        The layers of other programs, in WGS 84.
    options : TakeOptions
        What a person says of them.
    """
    found = judge_shapes(tables, options)
    return {name: next(iter(parts.values())) for name, parts in found.items()}


def judge_shapes(tables: Mapping[str, RawTable], options: TakeOptions) -> dict[str, dict[Shape, Judgement]]:
    """Return what the rows of each shape in each layer most likely are, the most rows first; at least one a layer."""
    paths = item_paths(tables)
    said = {name: options.said_of(paths[name], raw.table.column_names) for name, raw in tables.items()}
    return {name: _judged(raw, said[name]) or {Shape.POINT: _shapeless()} for name, raw in tables.items()}


def _shapeless() -> Judgement:
    return Judgement(ItemKind.OTHER, 1.0, "no row of it has a geometry")


def _judged(raw: RawTable, said: Said) -> dict[Shape, Judgement]:
    if GEOMETRY not in raw.table.column_names:
        return {}
    if (log := position_log(raw)) is not None:
        columns = {ColumnRole.TIME: log.times.columns}
        why = "its format is that of a log" if raw.log else "its points follow each other in time as a vehicle does"
        return {Shape.POINT: Judgement(ItemKind.LOG, 1.0 if raw.log else 0.9, why, columns)}
    counts = Counter(_shapes_of(raw))
    return {shape: _of_shape(raw, shape, said) for shape, _ in counts.most_common()}


def _shapes_of(raw: RawTable) -> Iterator[Shape]:
    """Yield the shape of each row; of a collection those of its members."""
    records = np.empty(raw.table.num_rows, dtype=object)
    records[:] = raw.table[GEOMETRY].to_pylist()
    with np.errstate(invalid="ignore"):
        shapes = shapely.from_wkb(records, on_invalid="ignore")
    yield from shapes_of(np.asarray(shapes, dtype=object))


def _of_shape(raw: RawTable, shape: Shape, said: Said) -> Judgement:
    columns = columns_of(raw.table, said.columns, of_fields=shape is Shape.POLYGON)
    if said.kind is not None:
        return Judgement(said.kind, 1.0, "you said so", columns)
    if shape is Shape.POLYGON:
        return Judgement(ItemKind.FIELD, 0.5, "it holds polygons", columns)
    if shape is Shape.POINT:
        return Judgement(ItemKind.POINT, 0.5, "it holds points", columns)
    column = kind_column(raw.table)
    words = column_values.texts(raw.table[column]) if column is not None else []
    if column is not None and all(line_kind(word) is not None for word in words):
        return Judgement(ItemKind.LINE, 0.9, f"its column {column} says it", columns)
    return Judgement(ItemKind.GUIDANCE, 0.5, "it holds lines", columns)
