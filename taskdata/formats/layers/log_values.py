"""Layer ``log_values``: what logs say at each record, as a person reads it.

A value holds from its record to the next of the same quantity and part (ISO 11783-10, 8.6.3: a record holds what is
new), but not over a pause in the log, after which nobody knows it. Before the first one there is none.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from taskdata.formats.columns import GEOMETRY, LABEL, Column, ColumnType, GeometryType, Layer, LayerSpec, stacked
from taskdata.formats.layers import logs
from taskdata.formats.layers.log_names import Channel, channels, names
from taskdata.model.dataset import Dataset
from taskdata.model.log_columns import LogColumn
from taskdata.model.logs import Log, LogRecords
from taskdata.model.tasks import Task
from taskdata.quantities.dictionary import entry
from taskdata.quantities.scales import usual_scale
from taskdata.quantities.units import System

PAUSE_S, PAUSE_INTERVALS = 60.0, 5.0
"""No value holds over a longer time without a record, and over more usual intervals; common practice."""

CONDENSED = "Condensed Work State"
_STATES = b"01e-"
"""What a section does, by the two bits that stand for it: off, on, error, not installed or no change (DDI 161)."""

_PER_VALUE = 16
_OWN = ("key", "task", "file", "record", "time", "gps_time", "status", "pdop", "hdop", "satellites", "up_m")
_COLUMNS = {column.name: column for column in logs.SPEC.columns}
_NAME = Column("task_name", ColumnType.TEXT, "Name of the task")
_KNOWN = (*(_COLUMNS[name] for name in _OWN[:2]), _NAME, *(_COLUMNS[name] for name in _OWN[2:]))
_NOT_KNOWN = f"(?!(?:{'|'.join(column.name for column in _KNOWN)})$)"

SPEC = LayerSpec(
    "log_values",
    GeometryType.POINT,
    "Records of time logs with physical values, each held from its record to the next of the same quantity and part, "
    f"but not over a pause of more than {PAUSE_S:.0f} s and {PAUSE_INTERVALS:.0f} usual intervals; computed. Delays "
    "that a machine states are not applied. Times are local ones of the machine, whose zone a log does not say; "
    "gps_time is in UTC. They record work done: changes are not read back.",
    _KNOWN,
    identity=("key", "record"),
    patterns=(
        (
            rf"^{_NOT_KNOWN}(?!condensed|[a-z0-9_]*_condensed)[a-z0-9_]+$",
            Column(
                "rate_l_ha_boom",
                ColumnType.REAL,
                "Value of a quantity: its name in the data dictionary without Actual, its unit, and what the machine "
                "calls the part; states and codes as whole numbers, raw numbers where no unit is known",
            ),
        ),
        (
            r"^([a-z0-9_]*_)?condensed[a-z0-9_]+$",
            Column(
                "condensed_work_state_1_16_boom",
                ColumnType.TEXT,
                "What each of 16 sections does, from the left: 1 on, 0 off, e error, - not installed or no change",
            ),
        ),
    ),
)


def project(dataset: Dataset, units: System = "metric") -> Layer:
    """Return the layer of a data set, in metric or US units; logs made of swaths are in the layer of these."""
    every = [(task, log) for task in dataset.tasks if not task.swaths for log in task.logs]
    known: dict[Channel, LogColumn] = {}
    for columns in (log.columns(units) for _, log in every):
        for channel, column in zip(channels(columns), columns, strict=True):
            known.setdefault(channel, column)
    named = names(known, [*SPEC.by_name, GEOMETRY])
    tables = [_table(task, log, named, units) for task, log in every]
    return Layer(SPEC, stacked(SPEC, [table for table in tables if table is not None]))


def _table(task: Task, log: Log, named: Mapping[Channel, str], units: System) -> pa.Table | None:
    """Return the rows of one log, None where its records cannot be had."""
    records = log.records
    if records is None:
        return None
    known = logs.known_columns(task, log, records)
    name = pa.array([task.name], pa.string()).take(pa.array(np.zeros(len(records.time), dtype=np.int64)))
    arrays = {column.name: name if column is _NAME else known[column.name] for column in _KNOWN}
    fields = [pa.field(name, array.type) for name, array in arrays.items()]
    values = []
    for field, array in _values(log, records, named, units):
        fields.append(field)
        values.append(array)
    fields.append(pa.field(GEOMETRY, pa.binary()))
    return pa.Table.from_arrays([*arrays.values(), *values, known[GEOMETRY]], schema=pa.schema(fields))


def _values(
    log: Log, records: LogRecords, named: Mapping[Channel, str], units: System
) -> Iterator[tuple[pa.Field, pa.Array]]:
    columns = log.columns(units)
    stretch = stretches(records.time)
    for channel, column in zip(channels(columns), columns, strict=True):
        raw, known = _held(records, column.index, stretch)
        array = _shown(log, column, raw, known, units)
        yield pa.field(named[channel], array.type, metadata=_facts(column)), array


def _facts(column: LogColumn) -> dict[str, str]:
    """Return what is said of a column beside its name; GDAL shows its label where a format has room for one."""
    part = " ".join(filter(None, (column.part_name, column.part)))
    label = ", ".join(filter(None, (column.name, part))) + (f" ({column.unit})" if column.unit else "")
    facts = {"quantity": column.name, "ddi": f"{column.ddi:04X}", "part": column.part or "", LABEL.decode(): label}
    return facts if column.unit is None else facts | {"unit": column.unit}


def stretches(time: NDArray[np.datetime64]) -> NDArray[np.int64]:
    """Return to which stretch of a log without a pause each record belongs, (n,), from 0."""
    known = np.flatnonzero(~np.isnat(time))
    begins = np.zeros(len(time), dtype=np.int64)
    stamps: NDArray[np.int64] = time[known].astype("datetime64[ms]").astype(np.int64)
    steps = np.diff(stamps.astype(np.float64)) / 1000.0
    if (steps > 0.0).any():
        usual = float(np.median(steps[steps > 0.0]))
        begins[known[1:][steps > max(PAUSE_S, PAUSE_INTERVALS * usual)]] = 1
    return np.cumsum(begins)


def _held(records: LogRecords, index: int, stretch: NDArray[np.int64]) -> tuple[NDArray[np.int32], NDArray[np.bool_]]:
    """Return the raw value of a quantity that holds at each record, (n,), and whether one does, (n,)."""
    values, new = records.stored(index)
    record = np.flatnonzero(new)
    if not len(record):
        return values, new
    spans = np.diff(record, append=len(new))
    origin = np.repeat(record, spans)
    held, known = values.copy(), np.zeros(len(new), dtype=np.bool_)
    held[record[0] :] = values[origin]
    known[record[0] :] = stretch[origin] == stretch[record[0] :]
    return held, known


def _shown(log: Log, column: LogColumn, raw: NDArray[np.int32], known: NDArray[np.bool_], units: System) -> pa.Array:
    """Return a column of values as a person reads them."""
    if CONDENSED in entry(column.ddi).name:
        found, places = np.unique(raw, return_inverse=True)
        return _sections(found).take(pa.array(places, mask=~known))
    scale = usual_scale(column.ddi, units, log.presentation(column.index))
    if scale is None or (not scale.unit and scale.step == 1 and not scale.offset):
        return pa.array(raw, pa.int64(), mask=~known)
    values = (raw * float(scale.step.numerator) + float(scale.offset * scale.step.denominator)) / scale.step.denominator
    return pa.array(values, pa.float64(), mask=~known)


def _sections(raw: NDArray[np.int32]) -> pa.Array:
    """Return the texts of raw values, (n,): a letter for each of 16 sections, the leftmost first."""
    letters = np.frombuffer(_STATES, np.uint8)[(raw[:, None] >> 2 * np.arange(_PER_VALUE)) & 3]
    ends = np.arange(0, letters.size + 1, _PER_VALUE, dtype=np.int32)
    return pa.StringArray.from_buffers(len(raw), pa.py_buffer(ends), pa.py_buffer(letters.tobytes()))
