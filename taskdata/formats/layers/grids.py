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
from taskdata.formats.layers import rates
from taskdata.model.dataset import Dataset
from taskdata.model.tasks import Grid, Setpoint, Task
from taskdata.quantities.units import System

_EXACT = 2.0**53
_CODES = 256

SPEC = LayerSpec(
    "grid_cells",
    GeometryType.POLYGON,
    "Cells of the grids of tasks, each a rectangle in degrees. Rates and codes may be changed, positions may not. "
    "Cells of a grid of zone codes show the rates of their zone: change the code, or the rate of the zone. Rates feed "
    "machines: obey the product label.",
    (
        key_column("grid"),
        Column("task", ColumnType.TEXT, "Identifier of the task"),
        Column("file", ColumnType.TEXT, "Name of the binary file of the grid"),
        Column("row", ColumnType.INTEGER, "Row of the cell, 0 in the south"),
        Column("column", ColumnType.INTEGER, "Column of the cell, 0 in the west"),
        Column("code", ColumnType.INTEGER, "Code of the treatment zone, in a grid of zone codes"),
    ),
    identity=(KEY, "row", "column"),
    patterns=tuple(
        (f"^{column.name.removesuffix('1')}[1-9][0-9]*$", column)
        for column in rates.columns("a setpoint of the cell, the first, second and so on of its grid or zone", "_1")
    ),
)


def project(dataset: Dataset, units: System = "metric") -> Layer:
    """Return the layer of a data set."""
    tables = [cells_table(task, task.grid, units) for task in dataset.tasks if task.grid is not None]
    return Layer(SPEC, stacked(SPEC, [table for table in tables if table is not None]))


def cells_table(task: Task, grid: Grid, units: System = "metric") -> pa.Table | None:
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
    arrays |= _of_zones(task, cells, units) if grid.kind == 1 else _of_cells(grid, cells, units)
    arrays[GEOMETRY] = _geometry(grid, row, column)
    return pa.table(arrays)


def numbers(column: pa.ChunkedArray) -> NDArray[np.int64]:
    """Return the numbers of rows or columns, -1 for whatever is none."""
    values = _reals(column)
    whole = np.isfinite(values) & (np.rint(values) == values) & (np.abs(values) < _EXACT)
    return np.where(whole, values, -1.0).astype(np.int64)


def shape(grid: Grid) -> tuple[int, int]:
    """Return how many rows and columns of cells a grid has, none where its cells cannot be had."""
    cells = grid.cells
    return (0, 0) if cells is None else (cells.shape[0], cells.shape[1])


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
        else [(f"{rates.RAW}_{index + 1}", changed[:, :, index]) for index in range(cells.shape[2])]
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


def _of_cells(grid: Grid, cells: NDArray[np.generic], units: System) -> dict[str, pa.Array]:
    """Return the columns of the values of cells that hold one for each setpoint of their grid."""
    values = cells.reshape(cells.shape[0] * cells.shape[1], -1).astype(np.int64)
    arrays: dict[str, pa.Array] = {}
    for index in range(values.shape[1]):
        raw = values[:, index]
        setpoint = grid.setpoints[index] if index < len(grid.setpoints) else None
        scale = None if setpoint is None else rates.scale_of(setpoint, units)
        ddi = None if setpoint is None else setpoint.ddi
        shown = {
            rates.DDI: _repeated(ddi, len(raw), pa.int64()),
            rates.QUANTITY: _repeated(rates.named(ddi), len(raw)),
            rates.RATE: pa.nulls(len(raw), pa.float64()) if scale is None else pa.array(scale.rates(raw)),
            rates.UNIT: _repeated(None if scale is None else scale.unit or None, len(raw)),
            rates.RAW: pa.array(raw),
        }
        arrays |= {f"{name}_{index + 1}": array for name, array in shown.items()}
    return arrays


def _of_zones(task: Task, cells: NDArray[np.generic], units: System) -> dict[str, pa.Array]:
    """Return the columns of the values that the zones of codes say; of several zones with a code the first counts."""
    setpoints: dict[int, tuple[Setpoint, ...]] = {}
    for zone in task.zones:
        setpoints.setdefault(zone.code, zone.setpoints)
    codes = pa.array(cells.ravel().astype(np.int64))
    arrays = {}
    kinds = (pa.int64(), pa.float64(), pa.string(), pa.int64())
    for index in range(max(map(len, setpoints.values()), default=0)):
        by_code = [_nth(setpoints.get(code, ()), index, units) for code in range(_CODES)]
        for name, part, kind in zip(rates.Stated._fields, zip(*by_code, strict=True), kinds, strict=True):
            column = rates.RAW if name == "raw" else name
            arrays[f"{column}_{index + 1}"] = pa.array(part, kind).take(codes)
        names = pa.array([rates.named(item.ddi) for item in by_code], pa.string())
        arrays[f"{rates.QUANTITY}_{index + 1}"] = names.take(codes)
    return arrays


def _nth(setpoints: tuple[Setpoint, ...], index: int, units: System) -> rates.Stated:
    return rates.stated(setpoints[index], units) if index < len(setpoints) else rates.Stated()


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


def _repeated(value: object, count: int, kind: pa.DataType | None = None) -> pa.Array:
    return pa.array([value], kind or pa.string()).take(pa.array(np.zeros(count, dtype=np.int64)))


def _geometry(grid: Grid, row: NDArray[np.int64], column: NDArray[np.int64]) -> pa.Array:
    """Return the boxes; a cell on the antimeridian is drawn up to it, one beyond it on the other side."""
    west = grid.min_lon + grid.cell_lon * column
    east = grid.min_lon + grid.cell_lon * (column + 1)
    beyond = west >= 180.0
    west, east = np.where(beyond, west - 360.0, west), np.where(beyond, east - 360.0, np.minimum(east, 180.0))
    south = grid.min_lat + grid.cell_lat * row
    north = grid.min_lat + grid.cell_lat * (row + 1)
    return fixed_size_wkb.boxes(*(np.asarray(part, dtype=np.float64) for part in (west, south, east, north)))
