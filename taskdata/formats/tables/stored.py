"""Rates of zones and cells in physical units back to the raw integers that are stored; the inverse of ``physical``.

Such integers set rates of machines: a rate in another unit than its quantity takes is refused, never guessed.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from typing import Any

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from taskdata import strict_json
from taskdata.errors import UsageError
from taskdata.formats.layers import grids, zones
from taskdata.ledger import Loss, Refusal
from taskdata.quantities.dictionary import entry
from taskdata.quantities.units import System, convert, to_raw

_RATE = re.compile(r"rate_([1-9][0-9]*)")
_VALUE = re.compile(r"value(_[1-9][0-9]*)?")
_LARGEST = 2.0**31


def stored_table(table: pa.Table, name: str, units: System) -> pa.Table:
    """Return a layer as files hold it.

    Raises
    ------
    UsageError
        A rate has another unit than its quantity, no quantity, or does not fit; the error names the row.
    """
    if name == zones.SPEC.name:
        return _zones(table, units)
    if name == grids.SPEC.name:
        return _cells(table, units)
    return table


def in_terms_of_rates(loss: Loss) -> Loss:
    """Return what a layer as files hold it cannot take, by the column of the table that it was made of.

    A rate that is there and does not fit was refused before, so what is refused of one here is that it is empty.
    """
    found = _VALUE.fullmatch(loss.column) if isinstance(loss, Refusal) else None
    if not isinstance(loss, Refusal) or found is None or loss.file not in (zones.SPEC.name, grids.SPEC.name):
        return loss
    column, takes = f"rate{found[1] or ''}", "a number"
    what, why = f"empty {column} of {loss.where}", f"it should be {takes}"
    return replace(loss, what=what, why=why, column=column, value="empty", takes=takes)


def _zones(table: pa.Table, units: System) -> pa.Table:
    if "rate" in table.column_names:
        values = _values(table, ("rate", "ddi", "unit"), zones.SPEC.name, units)
        table = _replaced(table, ("rate", "unit", "quantity"), "value", values)
    if "setpoints" in table.column_names:
        texts = [_setpoints(text, row, units) for row, text in enumerate(table["setpoints"].to_pylist(), 1)]
        table = _replaced(table, ("setpoints",), "setpoints", pa.array(texts, pa.string()))
    return table


def _setpoints(text: Any, row: int, units: System) -> Any:
    """Return a list of setpoints with raw values; what is none is told by whoever reads it."""
    try:
        items = [dict(item) for item in json.loads(str(text))]
        rates = np.array([float(item.pop("rate")) for item in items])
        ddis, given = [item.get("ddi") for item in items], [item.pop("unit", None) for item in items]
    except (ValueError, TypeError, KeyError):
        return text
    values = _raw(rates, ddis, given, lambda _: f"row {row} of {zones.SPEC.name}", units)
    named = zip(items, values, strict=True)
    return strict_json.dumps([{"ddi": item.pop("ddi"), "value": int(value), **item} for item, value in named])


def _cells(table: pa.Table, units: System) -> pa.Table:
    for found in filter(None, map(_RATE.fullmatch, table.column_names)):
        number = found[1]
        columns = (f"rate_{number}", f"ddi_{number}", f"unit_{number}")
        values = _values(table, columns, grids.SPEC.name, units)
        table = _replaced(table, (*columns, f"quantity_{number}"), f"value_{number}", values)
    return table


def _replaced(table: pa.Table, old: tuple[str, ...], new: str, values: pa.Array) -> pa.Table:
    rest = table.drop_columns([name for name in table.column_names if name in (*old, new)])
    return rest.append_column(new, values)


def _values(table: pa.Table, columns: tuple[str, str, str], layer: str, units: System) -> pa.Array:
    """Return the raw value of each row, by the columns of rate, data dictionary number and unit."""
    rate, ddi, unit = columns
    try:
        rates = np.asarray(table[rate].cast(pa.float64()).to_numpy(), dtype=np.float64)
    except pa.ArrowException as error:
        raise UsageError(f"{rate} of {layer} holds something else than numbers", remedy="Give numbers") from error
    values = _raw(rates, _column(table, ddi), _column(table, unit), lambda row: f"row {row + 1} of {layer}", units)
    return pa.array(values, from_pandas=True).cast(pa.int64())


def _column(table: pa.Table, name: str) -> list[Any]:
    return table[name].to_pylist() if name in table.column_names else [None] * table.num_rows


def _raw(
    rates: NDArray[np.float64], ddis: list[Any], given: list[Any], where: Callable[[int], str], units: System
) -> NDArray[np.float64]:
    """Return raw integers, NaN where there is no rate; those of one quantity at once."""
    groups: dict[tuple[Any, Any], list[int]] = {}
    for row in np.flatnonzero(~np.isnan(rates)).tolist():
        groups.setdefault((ddis[row], given[row]), []).append(row)
    values = np.full(len(rates), np.nan)
    for (ddi, unit), rows in groups.items():
        if not (isinstance(ddi, int) or (isinstance(ddi, float) and ddi.is_integer())):
            raise UsageError(
                "a rate without a quantity cannot be stored",
                where=where(rows[0]),
                remedy="Give the number of its quantity in the data dictionary in the column of ddi",
            )
        _refuse_other_unit(int(ddi), unit, where(rows[0]), units)
        values[rows] = _integers(rates[rows], int(ddi), units)
        unfit = [row for row in rows if not abs(values[row]) < _LARGEST]
        if unfit:
            raise UsageError(
                f"a rate of {entry(int(ddi)).plain_name} does not fit the 32 bits of task data",
                where=where(unfit[0]),
                remedy=_that_fits(int(ddi), units),
            )
    return values


def _that_fits(ddi: int, units: System) -> str:
    """Return what to give, with the ends of 32 bits in the unit of a quantity; ten digits lead back to them."""
    ends, unit = convert(np.array([-_LARGEST, _LARGEST - 1]), ddi, units)
    least, most = (f"{end:.10g}" for end in np.asarray(ends).tolist())
    return f"Give a number from {least} to {most} {unit or ''}".rstrip()


def _refuse_other_unit(ddi: int, unit: Any, where: str, units: System) -> None:
    wanted = convert(0, ddi, units)[1]
    if isinstance(unit, str) and unit != (wanted or ""):
        raise UsageError(
            f"a rate of {entry(ddi).plain_name} is in {unit}, and {wanted or 'raw numbers'} is expected",
            where=where,
            remedy="Convert it, or give [[units]] as the table has them",
        )


def _integers(rates: NDArray[np.float64], ddi: int, units: System) -> NDArray[np.float64]:
    """Return raw integers, infinite for what does not fit 32 bits."""
    if convert(0, ddi, units)[1] is None:
        return np.rint(rates)
    values = np.full(len(rates), np.inf)
    try:
        values[:] = to_raw(rates, ddi, units)
    except UsageError:  # one does not fit, and which one is to be told
        for index, rate in enumerate(rates.tolist()):
            with suppress(UsageError):
                values[index] = to_raw(rate, ddi, units)
    return values
