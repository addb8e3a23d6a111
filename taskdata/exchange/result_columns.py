"""Columns of layers of results, made of arrays."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from taskdata.formats.columns import ARROW, GEOMETRY, LayerSpec
from taskdata.formats.geometries import shapes


def result_table(spec: LayerSpec, columns: Mapping[str, object], ground: NDArray[Any]) -> pa.Table:
    """Return rows of a layer: a value for all of them, a sequence, or an array whose NaN and NaT stand for nothing."""
    arrays = [_array(columns.get(column.name), ARROW[column.type], len(ground)) for column in spec.columns]
    arrays.append(pa.array([None if shape.is_empty else shapes.to_wkb(shape) for shape in ground], pa.binary()))
    return pa.Table.from_arrays(arrays, names=[*(column.name for column in spec.columns), GEOMETRY])


def numbered(spec: LayerSpec, table: pa.Table, name: str) -> pa.Table:
    """Return rows with a column that counts them, from 1."""
    numbers = pa.array(np.arange(1, table.num_rows + 1), ARROW[spec.by_name[name].type])
    return table.set_column(table.column_names.index(name), name, numbers)


def _array(values: object, kind: pa.DataType, count: int) -> pa.Array:
    if values is None:
        return pa.nulls(count, kind)
    if isinstance(values, str):
        return pa.array([values] * count, kind)
    return pa.array(values, kind, from_pandas=isinstance(values, np.ndarray))
