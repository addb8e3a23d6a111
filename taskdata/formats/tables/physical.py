"""Layers for Python: as files hold them, rates in the units that are asked for, and values of logs as physical ones.

The values of a log stand in columns that are named after quantity and part, with the unit in the metadata of the field.
Raw numbers stay where no unit is known.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import Any

import pyarrow as pa

from taskdata.formats.columns import GEOMETRY, stacked
from taskdata.formats.layers import areas, fields, grids, guidance, lines, log_values, logs, points, zones
from taskdata.model.dataset import Dataset
from taskdata.model.logs import Log
from taskdata.model.tasks import Task
from taskdata.quantities.units import System

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


def _in_units(module: Any) -> Callable[[Dataset, System], pa.Table]:
    return lambda dataset, units: module.project(dataset, units).table


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
    | {module.SPEC.name: _in_units(module) for module in (zones, grids)}
    | {logs.SPEC.name: _records, log_values.SPEC.name: _in_units(log_values)}
)
"""What makes each layer, by its name, in the order of the files."""
