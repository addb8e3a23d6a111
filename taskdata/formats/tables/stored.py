"""Rates of tables that say no unit: they are in the usual one of their quantity, of the system that is asked for."""

from __future__ import annotations

import re

import pyarrow as pa

from taskdata.errors import UsageError
from taskdata.formats.layers import grids, rates, zones
from taskdata.quantities.scales import usual_scale
from taskdata.quantities.units import System

_RATE = re.compile(rf"{rates.RATE}((?:_[1-9][0-9]*)?)")


def with_units(table: pa.Table, name: str, units: System) -> pa.Table:
    """Return the table of a layer with a column of units beside each of rates that has none.

    Raises
    ------
    UsageError
        It does not say of what quantity such rates are either.
    """
    if name not in (zones.SPEC.name, grids.SPEC.name):
        return table
    for found in filter(None, map(_RATE.fullmatch, table.column_names)):
        unit, ddi = f"{rates.UNIT}{found[1]}", f"{rates.DDI}{found[1]}"
        if unit in table.column_names:
            continue
        if ddi not in table.column_names:
            raise UsageError(
                f"{found[0]} of {name} has no unit",
                remedy=f"Give a column {unit}, such as L/ha, or {ddi} with the numbers of the data dictionary",
            )
        given = [_usual(number, units) for number in table[ddi].to_pylist()]
        table = table.append_column(unit, pa.array(given, pa.string()))
    return table


def _usual(ddi: object, units: System) -> str | None:
    whole = int(ddi) if isinstance(ddi, float) and ddi.is_integer() else ddi
    item = rates.listed(whole)
    scale = None if item is None else usual_scale(item.ddi, units)
    return None if scale is None else scale.unit or None
