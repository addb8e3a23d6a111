"""Tasks put together again: zones, grid cells, and the logs that no table changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import shapely
from numpy.typing import NDArray

from taskdata.amounts import counted
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY, KEY, Layer
from taskdata.formats.edits.cell_rates import with_raw_values
from taskdata.formats.edits.diff_layer import LayerDiff, Ledger, name_extra_columns
from taskdata.formats.edits.field_drafts import identical
from taskdata.formats.geometries.decoding import shapes_in
from taskdata.formats.layers import grids, log_values
from taskdata.formats.layers.wording import is_identifier
from taskdata.model.dataset import Dataset
from taskdata.model.tasks import Grid, Task, Zone
from taskdata.phrases import phrase

_CELL_TOLERANCE = 1e-9


def merged_zones(tasks: Sequence[Task], found: LayerDiff[Zone], ledger: Ledger) -> list[Task]:
    """Return tasks with their zones as they became; a new zone of an unknown task makes a new task."""
    result = []
    for task in tasks:
        kept = [zone if zone.key is None else found.kept.get(zone.key) for zone in task.zones]
        zones = tuple(zone for zone in kept if zone is not None)
        result.append(task if identical(zones, task.zones) else replace(task, zones=zones))
    for key, changes in found.changes.items():
        if "task" in changes.values:
            ledger.drop(
                changes.values["task"],
                phrase("the move of zone {code}", code=found.kept[key].code),
                phrase("zones cannot change their task"),
            )
    index = {task.id: number for number, task in reversed(list(enumerate(result)))}
    for row, zone in found.added:
        wanted = row.get("task") or (result[0].id if result else "TSK1")
        names = [task.id for task in result if task.name == wanted]
        if wanted not in index and len(names) == 1:
            wanted = names[0]
        if wanted not in index and not is_identifier("TSK", wanted):
            takes = f"the identifier or the name of a task; {len(names) or 'none'} have that name"
            ledger.refuse(("treatment_zones", (zone.place.record or 0) + 1), None, ("task", wanted, takes))
            continue
        if wanted not in index:
            index[wanted] = len(result)
            result.append(Task(id=wanted, status=None, name=wanted, field=row.get("field")))
            ledger.change(
                wanted,
                phrase("task {wanted} is made for a new zone", wanted=wanted),
                phrase("the set has no such task"),
            )
        task = result[index[wanted]]
        result[index[wanted]] = replace(task, zones=(*task.zones, zone))
    return result


def merged_grids(tasks: Sequence[Task], layer: Layer, raw: RawTable | None, ledger: Ledger) -> list[Task]:
    """Return tasks with the cell values that were read."""
    if raw is None or same_table(layer.table, raw.table, layer.spec.identity):
        if raw is None and layer.table.num_rows:
            ledger.drop(
                None,
                phrase("the removal of the layer {name}", name=layer.name),
                phrase("a missing layer means no change"),
            )
        return list(tasks)
    name_extra_columns(layer.spec, raw.table, ledger)
    missing = {KEY, "row", "column"} - set(raw.table.column_names)
    if missing:
        ledger.drop(
            None,
            phrase("changes in grid_cells"),
            phrase("the columns {missing} are missing", missing=", ".join(sorted(missing))),
        )
        return list(tasks)
    keys = pa.array(grids.numbers(raw.table[KEY]))
    known = pa.array([task.grid.key for task in tasks if task.grid is not None], pa.int64())
    strange = raw.table.num_rows - (pc.sum(pc.is_in(keys, known)).as_py() or 0)
    if strange:
        ledger.drop(
            None, phrase("{strange} new rows of grid_cells", strange=strange), phrase("the cells of a grid are fixed")
        )
    result = []
    for task in tasks:
        if task.grid is None:
            result.append(task)
            continue
        chosen = pc.fill_null(pc.equal(keys, pa.scalar(task.grid.key, pa.int64())), False)
        numbers = np.array([raw.number(row) for row in np.flatnonzero(chosen.to_numpy(False)).tolist()], dtype=np.int64)
        part = with_raw_values(task, task.grid, raw.table.filter(chosen), numbers, ledger)
        grid = _merged_grid(task, task.grid, part, ledger)
        result.append(task if grid is task.grid else replace(task, grid=grid))
    return result


def check_logs(layer: Layer, raw: RawTable | None, ledger: Ledger) -> None:
    """Note changes in the records of logs, which are not taken over."""
    if raw is None:
        return
    name_extra_columns(layer.spec, raw.table, ledger)
    if not _is_unchanged(layer, raw.table):
        ledger.drop(
            None, phrase("changes in log_records"), phrase("a log is a record of work done; its files are not changed")
        )


def check_values(base: Dataset, raw: RawTable | None, ledger: Ledger) -> None:
    """Note changes in what a person reads of logs, which is computed."""
    if raw is None:
        return
    layer = log_values.project(base)
    extra = [name for name in raw.table.column_names if name not in layer.schema.names]
    name_extra_columns(replace(layer.spec, patterns=()), raw.table.select(extra), ledger)
    if not _is_unchanged(layer, raw.table):
        ledger.drop(
            None,
            phrase("changes in {name}", name=layer.name),
            phrase("it is computed from the log, a record of work done"),
        )


def _is_unchanged(layer: Layer, read: pa.Table) -> bool:
    """Return what `same_table` does of a layer that may be long: its rows are made some at a time, and let go again.

    Only where they do not stand in the order in which they were written, all of them are made at once.
    """
    if layer.count != read.num_rows:
        return False
    at = 0
    for batch in layer.reader():
        if not _same_rows(pa.Table.from_batches([batch]), read.slice(at, batch.num_rows)):
            return same_table(layer.table, read, layer.spec.identity)
        at += batch.num_rows
    return True


def same_table(written: pa.Table, read: pa.Table, identity: Sequence[str]) -> bool:
    """Return whether a table that was read has the rows and values that were written, in any order and type.

    ``identity`` names the columns that tell rows apart.
    """
    if written.num_rows != read.num_rows:
        return False
    if _same_rows(written, read):
        return True
    there = [name for name in identity if name in read.column_names]
    if len(there) < len(identity):
        return False
    order = [(name, "ascending") for name in identity]
    return _same_rows(written.sort_by(order), read.sort_by(order))


def _same_rows(written: pa.Table, read: pa.Table) -> bool:
    return all(_same_column(written[name], read[name]) for name in written.column_names if name in read.column_names)


def _same_column(written: pa.ChunkedArray, read: pa.ChunkedArray) -> bool:
    wanted = pa.large_binary() if pa.types.is_binary(written.type) else written.type
    try:
        first, second = written.cast(wanted).combine_chunks(), read.cast(wanted).combine_chunks()
    except pa.ArrowException:
        return False
    if pa.types.is_string(wanted):
        first, second = pc.fill_null(first, ""), pc.fill_null(second, "")
    return bool(first.equals(second)) or (pa.types.is_large_binary(wanted) and _same_boxes(first, second))


def _same_boxes(first: pa.Array, second: pa.Array) -> bool:
    """Return whether two columns of points or boxes lie at the same places."""
    return bool(np.array_equal(_bounds(first), _bounds(second), equal_nan=True))


def _bounds(column: pa.Array | pa.ChunkedArray) -> NDArray[np.float64]:
    """Return the bounds of each geometry, (rows, 4), NaN for what makes none."""
    return np.asarray(shapely.bounds(shapes_in(column)), dtype=np.float64)


def _merged_grid(task: Task, grid: Grid, part: pa.Table, ledger: Ledger) -> Grid:
    before = grids.cells_table(task, grid)
    if before is None:
        return grid
    changed, refused = grids.with_values(grid, part)
    for what in refused:
        ledger.drop(task.id, what, phrase("the cells keep their values"))
    if part.num_rows < before.num_rows:
        what = phrase(
            "the removal of {count} of {file}", count=counted(before.num_rows - part.num_rows, "cell"), file=grid.file
        )
        ledger.drop(task.id, what, phrase("every cell of a grid has a value; these cells keep theirs"))
    if GEOMETRY in part.column_names and not _in_place(before, part, grid):
        ledger.drop(
            task.id,
            phrase("moved cells of {file}", file=grid.file),
            phrase("the corner and size of a grid fix its cells"),
        )
    return changed


def _in_place(before: pa.Table, part: pa.Table, grid: Grid) -> bool:
    row, column = (grids.numbers(part[name]) for name in ("row", "column"))
    cells = grid.cells
    if cells is None:
        return True
    inside = (row >= 0) & (row < cells.shape[0]) & (column >= 0) & (column < cells.shape[1])
    old, new = _bounds(before[GEOMETRY]), _bounds(part[GEOMETRY])
    wanted = old[row[inside] * cells.shape[1] + column[inside]]
    return bool(np.allclose(wanted, new[inside], rtol=0.0, atol=_CELL_TOLERANCE, equal_nan=True))
