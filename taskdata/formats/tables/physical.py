"""Layers in physical units: rates of zones and cells, values of logs.

In a file a layer holds the raw integers of the standard, which is exact. Here the value of a zone is ``rate`` in
``unit``, each ``value_n`` of a cell is ``rate_n`` in ``unit_n``, and the values of a log stand in columns that are
named after quantity and part, with the unit in the metadata of the field. Raw numbers stay where no unit is known.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import Any

import numpy as np
import pyarrow as pa

from taskdata import strict_json
from taskdata.formats.columns import GEOMETRY, stacked
from taskdata.formats.layers import areas, fields, grids, guidance, lines, logs, points, zones
from taskdata.model.dataset import Dataset
from taskdata.model.logs import Log
from taskdata.model.tasks import Grid, Task
from taskdata.quantities.dictionary import entry
from taskdata.quantities.units import System, convert

UNIT = b"unit"
_BY_SUFFIX = {"_m2": "m²", "_m": "m", "_deg": "°"}
_PLAIN = (fields, areas, lines, guidance, points)


def physical_table(dataset: Dataset, name: str, units: System) -> pa.Table:
    """Return a layer of a data set in physical units, geometry as WKB in its last column.

    Parameters
    ----------
    name : str
        One of `LAYERS`.
    """
    table = LAYERS[name](dataset, units)
    return table.cast(pa.schema([_with_unit(field) for field in table.schema]))


def unit_of(field: pa.Field) -> str | None:
    """Return the unit of a column, empty for bare numbers; None where it has none that is known."""
    unit = (field.metadata or {}).get(UNIT)
    return None if unit is None else unit.decode()


def _with_unit(field: pa.Field) -> pa.Field:
    unit = next((unit for suffix, unit in _BY_SUFFIX.items() if field.name.endswith(suffix)), None)
    return field if unit is None or field.metadata else field.with_metadata({UNIT: unit.encode()})


def _as_stored(module: Any) -> Callable[[Dataset, System], pa.Table]:
    return lambda dataset, units: module.project(dataset).table


def _zones(dataset: Dataset, units: System) -> pa.Table:
    table = zones.project(dataset).table
    pairs = list(zip(table["ddi"].to_pylist(), table["value"].to_pylist(), strict=True))
    shown = [(None, None) if ddi is None or value is None else convert(value, ddi, units) for ddi, value in pairs]
    setpoints = [_setpoints(text, units) for text in table["setpoints"].to_pylist()]
    names = [None if ddi is None else entry(ddi).plain_name for ddi, _ in pairs]
    table = table.set_column(table.column_names.index("quantity"), "quantity", pa.array(names, pa.string()))
    index = table.column_names.index("value")
    table = table.set_column(index, "rate", pa.array([rate for rate, _ in shown], pa.float64()))
    table = table.add_column(index + 1, "unit", pa.array([unit for _, unit in shown], pa.string()))
    return table.set_column(table.column_names.index("setpoints"), "setpoints", pa.array(setpoints, pa.string()))


def _setpoints(text: str, units: System) -> str:
    found = []
    for item in json.loads(text):
        rate, unit = convert(item.pop("value"), item["ddi"], units)
        found.append({"ddi": item.pop("ddi"), "rate": rate, "unit": unit, **item})
    return strict_json.dumps(found)


def _cells(dataset: Dataset, units: System) -> pa.Table:
    tables = [_cells_of(task, task.grid, units) for task in dataset.tasks if task.grid is not None]
    return stacked(grids.SPEC, [table for table in tables if table is not None])


def _cells_of(task: Task, grid: Grid, units: System) -> pa.Table | None:
    table = grids.cells_table(task, grid)
    if table is None or grid.kind == 1:
        return table
    arrays = {name: table[name] for name in table.column_names if not re.match(grids.VALUE_PATTERN, name)}
    for number, setpoint in enumerate(grid.setpoints, 1):
        raw = table[f"value_{number}"].to_numpy()
        rate, unit = convert(raw, setpoint.ddi, units)
        row = {"ddi": setpoint.ddi, "quantity": entry(setpoint.ddi).plain_name, "unit": unit}
        arrays |= {f"{name}_{number}": _repeated(value, len(raw)) for name, value in row.items()}
        arrays[f"rate_{number}"] = pa.array(np.asarray(rate, dtype=np.float64))
    return pa.table(arrays)


def _repeated(value: object, count: int) -> pa.Array:
    kind = pa.int64() if isinstance(value, int) else pa.string()
    return pa.array([value], kind).take(pa.array(np.zeros(count, dtype=np.int64)))


def _records(dataset: Dataset, units: System) -> pa.Table:
    tables = [_records_of(task, log, units) for task in dataset.tasks for log in task.logs]
    return stacked(logs.SPEC, [table for table in tables if table is not None])


def _records_of(task: Task, log: Log, units: System) -> pa.Table | None:
    stored = logs.records_table(task, log)
    if stored is None:
        return None
    table = stored.select([column.name for column in logs.SPEC.columns])
    for field, values in _values(log, units, set(table.column_names)):
        table = table.append_column(field, values)
    return table.append_column(GEOMETRY, stored[GEOMETRY])


def _values(log: Log, units: System, taken: set[str]) -> Iterator[tuple[pa.Field, pa.Array]]:
    """Yield a column for each quantity; two of the same name are told apart by a number."""
    for column in log.columns(units):
        name = base = re.sub(r"[^a-z0-9]+", "_", f"{column.name}_{column.part or ''}".lower()).strip("_")
        number = 1
        while name in taken:
            number += 1
            name = f"{base}_{number}"
        taken.add(name)
        facts = {"quantity": column.name, "ddi": f"{column.ddi:04X}", "part": column.part or ""}
        facts |= {} if column.unit is None else {UNIT.decode(): column.unit}
        yield pa.field(name, pa.float64(), metadata=facts), pa.array(log.values(column, units=units), from_pandas=True)


LAYERS: Mapping[str, Callable[[Dataset, System], pa.Table]] = MappingProxyType(
    {module.SPEC.name: _as_stored(module) for module in _PLAIN}
    | {zones.SPEC.name: _zones, grids.SPEC.name: _cells, logs.SPEC.name: _records}
)
"""What makes each layer, by its name, in the order of the files."""
