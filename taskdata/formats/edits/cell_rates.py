"""Edited rates of grid cells, as the raw values that a grid stores."""

from __future__ import annotations

from dataclasses import field
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from numpy.typing import NDArray

from taskdata.amounts import counted
from taskdata.dataclass import dataclass
from taskdata.formats.edits.diff_layer import Ledger
from taskdata.formats.edits.typed_rates import Typed, typed
from taskdata.formats.layers import grids, rates
from taskdata.formats.layers.row_edits import coerced, equal
from taskdata.ledger import refusal
from taskdata.model.tasks import Grid, Setpoint, Task
from taskdata.phrases import phrase

_OF_ZONE = "left as it is: the cell has the rate of its zone, so change its code, or the rate of the zone"
_TYPED = (rates.RATE, rates.UNIT, rates.RAW)
_COMPUTED = (rates.DDI, rates.QUANTITY)
_NEAR = 1e-12

Flags = NDArray[np.bool_]
Places = NDArray[np.int64]


@dataclass
class _Told:
    """What is told of rows, each thing once with the rows that it holds for."""

    refused: dict[tuple[str, Any, str], list[int]] = field(default_factory=dict)
    changed: dict[tuple[str, str], list[int]] = field(default_factory=dict)
    rounded: int = 0

    def take(self, found: Typed, number: int, row: int) -> None:
        """Note what became of the value of a setpoint, counted from 1, in a row."""
        if found.refused is not None:
            column, value, takes = found.refused
            self.refuse((f"{column}_{number}", value, takes), row)
        for what, why in found.told:
            self.changed.setdefault((what, why), []).append(row)
        self.rounded += found.rounded

    def refuse(self, typed_in: tuple[str, Any, str], row: int) -> None:
        """Note a value that cannot be stored: column, value, and what the column takes."""
        self.refused.setdefault(typed_in, []).append(row)

    def close(self, task: Task, ledger: Ledger) -> None:
        """Put everything into the ledger."""
        layer = grids.SPEC.name
        for typed_in, rows in self.refused.items():
            ledger.losses.append(refusal(task.id, _rows(rows), *typed_in, row=(layer, rows[0] - 1)))
        for (what, why), rows in self.changed.items():
            ledger.change(task.id, phrase("{what} of {rows}", what=what, rows=_rows(rows)), why)
        if self.rounded:
            what = phrase("rates of {count}", count=counted(self.rounded, "cell"))
            ledger.approximate(task.id, what, phrase("each is rounded to a step that task data stores"))


def with_raw_values(task: Task, grid: Grid, part: pa.Table, numbers: Places, ledger: Ledger) -> pa.Table:
    """Return rows of a grid as they were read with the raw values that are to be stored.

    Parameters
    ----------
    task, grid : Task, Grid
        As they were.
    part : pyarrow.Table
        The rows, with ``row`` and ``column``.
    numbers : int64 (n,)
        The number of each row in its file, from 1.
    """
    before = grids.cells_table(task, grid)
    if before is None:
        return part
    row, column = (grids.numbers(part[name]) for name in ("row", "column"))
    rows, columns = grids.shape(grid)
    inside = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
    at = np.where(inside, row * columns + column, 0)
    told, number = _Told(), 0
    while f"{rates.RAW}_{(number := number + 1)}" in before.column_names:
        suffix = f"_{number}"
        old = {name: before[f"{name}{suffix}"].take(pa.array(at)) for name in (*_TYPED, *_COMPUTED)}
        new = {name: part[f"{name}{suffix}"] for name in old if f"{name}{suffix}" in part.column_names}
        changed = inside & np.any(
            [_differ(old[name], new[name]) for name in _TYPED if name in new] or [inside & False], 0
        )
        if grid.kind == 1:
            _refuse_all(old, new, np.flatnonzero(changed), (number, numbers), told)
        else:
            setpoint = grid.setpoints[number - 1] if number <= len(grid.setpoints) else None
            raw = _raw_values(old, new, np.flatnonzero(changed), (setpoint, number, numbers), told)
            part = _replaced(part, f"{rates.RAW}{suffix}", raw)
        for name in _COMPUTED:
            if name in new and (inside & _differ(old[name], new[name])).any():
                ledger.drop(
                    task.id,
                    phrase("a change of {name}{suffix} in {name_2}", name=name, suffix=suffix, name_2=grids.SPEC.name),
                    phrase("it is computed"),
                )
    told.close(task, ledger)
    return part


def _raw_values(
    old: dict[str, pa.ChunkedArray],
    new: dict[str, pa.ChunkedArray],
    changed: NDArray[np.intp],
    of: tuple[Setpoint | None, int, Places],
    told: _Told,
) -> NDArray[np.int64]:
    """Return the raw value of each row; that which was there where one is refused."""
    setpoint, number, numbers = of
    shown = None if setpoint is None or setpoint.presentation is None else setpoint.presentation.usable
    ddi = None if setpoint is None else setpoint.ddi
    raw: NDArray[np.int64] = old[rates.RAW].to_numpy().copy()
    known: dict[tuple[Any, ...], Typed] = {}
    for index in changed.tolist():
        before, now = _cells(old, new, index)
        key = (*map(repr, now), *before)
        if key not in known:
            known[key] = _typed(ddi, now, before, shown)
        told.take(known[key], number, int(numbers[index]))
        found = known[key].raw
        raw[index] = raw[index] if found is None else found
    return raw


def _typed(ddi: int | None, now: list[Any], before: list[Any], shown: Any) -> Typed:
    """Return what becomes of one value; what is not of the type of its column is refused."""
    values = []
    for name, value in zip(_TYPED, now, strict=True):
        try:
            values.append(coerced(_COLUMNS[name], value))
        except ValueError as error:
            return Typed(refused=(name, value, str(error)))
    return typed(rates.Stated(ddi, *values), rates.Stated(ddi, *before), shown)


def _refuse_all(
    old: dict[str, pa.ChunkedArray],
    new: dict[str, pa.ChunkedArray],
    changed: NDArray[np.intp],
    of: tuple[int, Places],
    told: _Told,
) -> None:
    """Refuse what was typed where the cells of a grid of codes show the rates of their zones."""
    number, numbers = of
    for index in changed.tolist():
        before, now = _cells(old, new, index)
        found = _typed(old[rates.DDI][index].as_py(), now, before, None)
        if found.refused is None and found.raw == before[-1] and not found.told:
            continue
        name, value = next((name, value) for name, value, was in zip(_TYPED, now, before, strict=True) if value != was)
        told.refuse((f"{name}_{number}", value, _OF_ZONE), int(numbers[index]))


def _cells(old: dict[str, pa.ChunkedArray], new: dict[str, pa.ChunkedArray], index: int) -> tuple[list[Any], list[Any]]:
    """Return rate, unit and raw value of a row as they were written and as they were read."""
    before = [old[name][index].as_py() for name in _TYPED]
    now = [new[name][index].as_py() if name in new else value for name, value in zip(_TYPED, before, strict=True)]
    return before, now


def _differ(old: pa.ChunkedArray, new: pa.ChunkedArray) -> Flags:
    """Return where two columns differ, (n,)."""
    try:
        first, second = old.combine_chunks(), new.cast(old.type).combine_chunks()
    except pa.ArrowException:
        pairs = zip(old.to_pylist(), new.to_pylist(), strict=True)
        return np.array([not equal(one, two) for one, two in pairs], dtype=np.bool_)
    if pa.types.is_string(first.type):
        return np.asarray(pc.not_equal(pc.fill_null(first, ""), pc.fill_null(second, "")).to_numpy(False))
    one, two = (np.asarray(part.cast(pa.float64()).to_numpy(False), dtype=np.float64) for part in (first, second))
    return ~np.isclose(one, two, rtol=_NEAR, atol=0.0, equal_nan=True)


def _replaced(part: pa.Table, name: str, raw: NDArray[np.int64]) -> pa.Table:
    rest = part.drop_columns([name]) if name in part.column_names else part
    return rest.append_column(name, pa.array(raw))


def _rows(rows: list[int]) -> str:
    more = f" (and {counted(len(rows) - 1, 'more row')})" if len(rows) > 1 else ""
    return f"row {rows[0]} of {grids.SPEC.name}{more}"


_COLUMNS = {column.name: column for column in rates.columns("a cell")}
