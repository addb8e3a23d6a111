"""Layer ``log_values``: what logs say at each record, as a person reads it.

A value holds from its record to the next of the same quantity and part (ISO 11783-10, 8.6.3: a record holds what is
new), but not over a pause in the log, after which nobody knows it. Before the first one there is none.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from taskdata.formats.columns import GEOMETRY, LABEL, Column, ColumnType, GeometryType, Layer, LayerSpec
from taskdata.formats.layers import logs
from taskdata.formats.layers.held_values import PAUSE_INTERVALS, PAUSE_S, Holding, pause_s
from taskdata.formats.layers.log_names import Channel, channels, names
from taskdata.model.dataset import Dataset
from taskdata.model.log_columns import LogColumn
from taskdata.model.logs import Log, LogRecords
from taskdata.model.tasks import Task
from taskdata.quantities.dictionary import entry
from taskdata.quantities.scales import usual_scale
from taskdata.quantities.units import System

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
    return logs.layer_of(SPEC, every, lambda task, log, parts: _tables(task, log, parts, (named, units)))


def _tables(
    task: Task, log: Log, parts: Iterator[tuple[LogRecords, int]], naming: tuple[Mapping[Channel, str], System]
) -> Iterator[pa.Table]:
    holding: Holding | None = None
    for records, first in parts:
        if holding is None:
            whole = len(records.time) == (log.length or 0)
            holding = Holding(pause_s([records.time] if whole else (part.time for part in log.parts())))
        yield _table(task, log, (records, first), holding, naming)


def _table(
    task: Task,
    log: Log,
    numbered: tuple[LogRecords, int],
    holding: Holding,
    naming: tuple[Mapping[Channel, str], System],
) -> pa.Table:
    """Return rows of a log: of its records from a number on, in the order of the log."""
    records, first = numbered
    known = logs.known_columns(task, log, records, first)
    name = pa.repeat(pa.scalar(task.name, pa.string()), len(records.time))
    arrays = {column.name: name if column is _NAME else known[column.name] for column in _KNOWN}
    fields = [pa.field(name, array.type) for name, array in arrays.items()]
    values = []
    for field, array in _values(log, records, holding, naming):
        fields.append(field)
        values.append(array)
    fields.append(pa.field(GEOMETRY, pa.binary()))
    return pa.Table.from_arrays([*arrays.values(), *values, known[GEOMETRY]], schema=pa.schema(fields))


def _values(
    log: Log, records: LogRecords, holding: Holding, naming: tuple[Mapping[Channel, str], System]
) -> Iterator[tuple[pa.Field, pa.Array]]:
    named, units = naming
    columns = log.columns(units)
    stretch = holding.stretches(records.time)
    for channel, column in zip(channels(columns), columns, strict=True):
        raw, known = holding.held(records, column.index, stretch)
        array = _shown(log, column, raw, known, units)
        yield pa.field(named[channel], array.type, metadata=_facts(column)), array


def _facts(column: LogColumn) -> dict[str, str]:
    """Return what is said of a column beside its name; GDAL shows its label where a format has room for one."""
    part = " ".join(filter(None, (column.part_name, column.part)))
    label = ", ".join(filter(None, (column.name, part))) + (f" ({column.unit})" if column.unit else "")
    facts = {"quantity": column.name, "ddi": f"{column.ddi:04X}", "part": column.part or "", LABEL.decode(): label}
    return facts if column.unit is None else facts | {"unit": column.unit}


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
