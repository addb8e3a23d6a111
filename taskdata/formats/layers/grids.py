"""Layer ``grid_cells``: the cells of the grids of tasks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from taskdata.amounts import counted
from taskdata.formats.columns import (
    GEOMETRY,
    KEY,
    Column,
    ColumnType,
    GeometryType,
    Layer,
    LayerSpec,
    key_column,
    stacked,
)
from taskdata.formats.geometries import fixed_size_wkb
from taskdata.model.dataset import Dataset
from taskdata.model.tasks import Grid, Task

_EXACT = 2.0**53
VALUE_PATTERN = r"^value_[1-9][0-9]*$"

SPEC = LayerSpec(
    "grid_cells",
    GeometryType.POLYGON,
    "Cells of the grids of tasks, each a rectangle in degrees. Values may be changed, positions may not.",
    (
        key_column("grid"),
        Column("task", ColumnType.TEXT, "Identifier of the task"),
        Column("file", ColumnType.TEXT, "Name of the binary file of the grid"),
        Column("row", ColumnType.INTEGER, "Row of the cell, 0 in the south"),
        Column("column", ColumnType.INTEGER, "Column of the cell, 0 in the west"),
        Column("code", ColumnType.INTEGER, "Code of the treatment zone, in a grid of zone codes"),
    ),
    identity=(KEY, "row", "column"),
    patterns=(
        (
            VALUE_PATTERN,
            Column("value_1", ColumnType.INTEGER, "Raw value of a setpoint, in the order of the grid's setpoints"),
        ),
    ),
)


def project(dataset: Dataset) -> Layer:
    """Return the layer of a data set."""
    tables = [cells_table(task, task.grid) for task in dataset.tasks if task.grid is not None]
    return Layer(SPEC, stacked(SPEC, [table for table in tables if table is not None]))


def cells_table(task: Task, grid: Grid) -> pa.Table | None:
    """Return the rows of one grid, row by row from the south-west; None where its cells cannot be had."""
    cells = grid.cells
    if cells is None or cells.size == 0:
        return None
    rows, columns = cells.shape[:2]
    row, column = (part.ravel() for part in np.indices((rows, columns)))
    count = rows * columns
    arrays = {
        KEY: pa.array([grid.key], pa.int64()).take(pa.array(np.zeros(count, dtype=np.int64))),
        "task": _repeated(task.id, count),
        "file": _repeated(grid.file, count),
        "row": pa.array(row, pa.int64()),
        "column": pa.array(column, pa.int64()),
        "code": pa.array(cells.ravel().astype(np.int64)) if grid.kind == 1 else pa.nulls(count, pa.int64()),
    }
    if grid.kind != 1:
        values = cells.reshape(count, -1).astype(np.int64)
        arrays |= {f"value_{index + 1}": pa.array(values[:, index]) for index in range(values.shape[1])}
    arrays[GEOMETRY] = _geometry(grid, row, column)
    return pa.table(arrays)


def numbers(column: pa.ChunkedArray) -> NDArray[np.int64]:
    """Return the numbers of rows or columns, -1 for whatever is none."""
    values = _reals(column)
    whole = np.isfinite(values) & (np.rint(values) == values) & (np.abs(values) < _EXACT)
    return np.where(whole, values, -1.0).astype(np.int64)


def with_values(grid: Grid, table: pa.Table) -> tuple[Grid, list[str]]:
    """Return a grid with the values that a table of its cells holds, the identical grid where none changed.

    Parameters
    ----------
    table : pyarrow.Table
        Rows of this grid, in any order, with ``row`` and ``column``.

    Returns
    -------
    grid : Grid
    refused : list of str
        What was not taken over, in words.
    """
    cells = grid.cells
    if cells is None:
        return grid, []
    row, column = (numbers(table[name]) for name in ("row", "column"))
    inside = (row >= 0) & (row < cells.shape[0]) & (column >= 0) & (column < cells.shape[1])
    refused = [] if inside.all() else [f"{counted(int((~inside).sum()), 'cell')} outside the grid"]
    changed = cells.copy()
    layers = (
        [("code", changed)]
        if grid.kind == 1
        else [(f"value_{index + 1}", changed[:, :, index]) for index in range(cells.shape[2])]
    )
    limits = np.iinfo(cells.dtype.name)
    for name, target in layers:
        if name not in table.column_names:
            continue
        values = _reals(table[name])
        good = inside & np.isfinite(values) & (values >= limits.min) & (values <= limits.max)
        good &= np.equal(np.rint(values), values)
        if (inside & ~good).any():
            refused.append(
                f"{counted(int((inside & ~good).sum()), 'cell')} whose {name} is empty or not a whole number in its "
                "range"
            )
        target[row[good], column[good]] = values[good].astype(cells.dtype)
    if (changed == cells).all():
        return grid, refused
    return replace(grid, read=_constant(changed)), refused


def _reals(column: pa.ChunkedArray) -> NDArray[np.float64]:
    """Return the numbers of a column, NaN for whatever is none."""
    try:
        return np.asarray(column.cast(pa.float64(), safe=False).to_numpy(), dtype=np.float64)
    except pa.ArrowException:
        return np.array([_real(value) for value in column.to_pylist()], dtype=np.float64)


def _real(value: Any) -> float:
    try:
        return float(value)
    except (ValueError, TypeError, OverflowError):
        return np.nan


def _constant(cells: NDArray[np.generic]) -> Callable[[], NDArray[np.generic]]:
    return lambda: cells


def _repeated(text: str | None, count: int) -> pa.Array:
    return pa.array([text], pa.string()).take(pa.array(np.zeros(count, dtype=np.int64)))


def _geometry(grid: Grid, row: NDArray[np.int64], column: NDArray[np.int64]) -> pa.Array:
    """Return the boxes; a cell on the antimeridian is drawn up to it, one beyond it on the other side."""
    west = grid.min_lon + grid.cell_lon * column
    east = grid.min_lon + grid.cell_lon * (column + 1)
    beyond = west >= 180.0
    west, east = np.where(beyond, west - 360.0, west), np.where(beyond, east - 360.0, np.minimum(east, 180.0))
    south = grid.min_lat + grid.cell_lat * row
    north = grid.min_lat + grid.cell_lat * (row + 1)
    return fixed_size_wkb.boxes(*(np.asarray(part, dtype=np.float64) for part in (west, south, east, north)))
