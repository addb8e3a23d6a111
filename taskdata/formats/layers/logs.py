"""Layer ``log_records``: the records of time logs as points, a column for each logged quantity."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from taskdata.formats.columns import (
    GEOMETRY,
    KEY,
    Column,
    ColumnType,
    GeometryType,
    Layer,
    LayerSpec,
    LongLayer,
    key_column,
    stacked,
)
from taskdata.formats.geometries import fixed_size_wkb
from taskdata.formats.layers import wording
from taskdata.model.dataset import Dataset
from taskdata.model.logs import DAY_ZERO, Log, LogRecords
from taskdata.model.tasks import Task
from taskdata.resources import table as facts

AT_ONCE = 1 << 18
"""Records up to which the rows of all logs are made at once."""
NO_RECORDS = LogRecords(
    time=np.zeros(0, "datetime64[ms]"),
    lon=np.zeros(0),
    lat=np.zeros(0),
    up_m=None,
    status=None,
    value_record=np.zeros(0, np.int64),
    value_index=np.zeros(0, np.uint8),
    value=np.zeros(0, np.int32),
)
VALUE_PATTERN = r"^ddi_[0-9a-f]{4}(_[a-z0-9]+)*$"

SPEC = LayerSpec(
    "log_records",
    GeometryType.POINT,
    "Records of time logs. They record work done: changes are not written back into the logs.",
    (
        key_column("log"),
        Column("task", ColumnType.TEXT, "Identifier of the task"),
        Column("file", ColumnType.TEXT, "Name of the log's files without suffix"),
        Column("record", ColumnType.INTEGER, "Number of the record in its file, from 0"),
        Column("time", ColumnType.TIME, "Local time"),
        Column("up_m", ColumnType.REAL, "Height above the WGS 84 ellipsoid"),
        Column("status", ColumnType.TEXT, "Type of position fix", tuple(wording.fix_words().values())),
        Column("pdop", ColumnType.REAL, "Position dilution of precision"),
        Column("hdop", ColumnType.REAL, "Horizontal dilution of precision"),
        Column("satellites", ColumnType.INTEGER, "Satellites in use"),
        Column("gps_time", ColumnType.TIME, "Coordinated universal time from the receiver"),
    ),
    identity=(KEY, "record"),
    patterns=(
        (
            VALUE_PATTERN,
            Column(
                "ddi_0002_det3",
                ColumnType.INTEGER,
                "Raw value of a quantity: its data dictionary number in hexadecimal and the part that delivered it; "
                "empty where the record had no new value",
            ),
        ),
    ),
)


def project(dataset: Dataset) -> Layer:
    """Return the layer of a data set; logs that are made of swaths are in the layer of these."""
    every = [(task, log) for task in dataset.tasks if not task.swaths for log in task.logs]
    return layer_of(SPEC, every, lambda task, log, parts: (_table(task, log, some, at) for some, at in parts))


def layer_of(
    spec: LayerSpec,
    every: Sequence[tuple[Task, Log]],
    make: Callable[[Task, Log, Iterator[tuple[LogRecords, int]]], Iterator[pa.Table]],
) -> Layer:
    """Return a layer of the records of logs, made at once where they are few.

    Parameters
    ----------
    spec : LayerSpec
        The layer.
    every : sequence of pairs of Task and Log
        The logs.
    make : callable
        Makes tables of a log: of its records, some at a time, each with the number of the first.
    """
    logs = [(task, log, log.length) for task, log in every]
    readable = [(task, log) for task, log, length in logs if length is not None]
    count = sum(length for _, _, length in logs if length is not None)
    if count <= AT_ONCE:
        wholes = [(task, log, log.records) for task, log in readable]
        made = [make(task, log, iter([(whole, 0)])) for task, log, whole in wholes if whole is not None]
        return Layer(spec, stacked(spec, [table for tables in made for table in tables]))
    empty = [table for task, log in readable for table in make(task, log, iter([(NO_RECORDS, 0)]))]
    return LongLayer(
        spec,
        stacked(spec, empty).schema,
        count,
        lambda: (table for task, log in readable for table in make(task, log, _numbered(log))),
    )


def _numbered(log: Log) -> Iterator[tuple[LogRecords, int]]:
    at = 0
    for records in log.parts():
        yield records, at
        at += len(records.time)


def records_table(task: Task, log: Log) -> pa.Table | None:
    """Return the rows of one log, None where its records cannot be had."""
    return None if log.records is None else _table(task, log, log.records, 0)


def _table(task: Task, log: Log, records: LogRecords, first: int) -> pa.Table:
    """Return rows of a log, ``first`` being the number of the first record."""
    arrays = known_columns(task, log, records, first)
    geometry = arrays.pop(GEOMETRY)
    return pa.table(arrays | _values(log, records) | {GEOMETRY: geometry})


def known_columns(task: Task, log: Log, records: LogRecords, first: int) -> dict[str, pa.Array]:
    """Return the columns of a log that do not depend on what it logs, and its geometry."""
    count = len(records.time)
    return {
        KEY: pa.repeat(pa.scalar(log.key, pa.int64()), count),
        "task": pa.repeat(pa.scalar(task.id, pa.string()), count),
        "file": pa.repeat(pa.scalar(log.file, pa.string()), count),
        "record": pa.array(np.arange(first, first + count, dtype=np.int64)),
        "time": _times(records.time),
        "up_m": pa.nulls(count, pa.float64()) if records.up_m is None else pa.array(records.up_m, from_pandas=True),
        "status": _status(records.status, count),
        "pdop": _scaled(records, "PDOP", count),
        "hdop": _scaled(records, "HDOP", count),
        "satellites": _plain(records, "NumberOfSatellites", count),
        "gps_time": _gps_time(records, count),
        GEOMETRY: fixed_size_wkb.points(records.lon, records.lat),
    }


def value_name(ddi: int, part: str | None) -> str:
    """Return the column name of a logged quantity."""
    suffix = re.sub(r"[^a-z0-9]", "", (part or "").lower())
    return f"ddi_{ddi:04x}_{suffix}" if suffix else f"ddi_{ddi:04x}"


def _values(log: Log, records: LogRecords) -> dict[str, pa.Array]:
    """Return a column for each value index; two of the same name are told apart by a number."""
    arrays: dict[str, pa.Array] = {}
    for index, quantity in enumerate(log.quantities):
        name = base = value_name(quantity.ddi, quantity.part)
        number = 1
        while name in arrays:
            number += 1
            name = f"{base}_{number}"
        values, known = records.stored(index)
        arrays[name] = pa.array(values, pa.int32(), mask=~known)
    return arrays


def _times(time: NDArray[np.datetime64]) -> pa.Array:
    return pa.array(time.astype("datetime64[ms]"), pa.timestamp("ms"))


def _status(status: NDArray[np.uint8] | None, count: int) -> pa.Array:
    if status is None:
        return pa.nulls(count, pa.string())
    texts = pa.array([wording.fix_words().get(number) for number in range(256)], pa.string())
    return texts.take(pa.array(status))


def _raw(records: LogRecords, name: str) -> tuple[NDArray[np.generic], NDArray[np.bool_]] | None:
    """Return a stored column and where it is not available."""
    stored = records.extras.get(name)
    if stored is None:
        return None
    fact = next(row for row in facts("binary") if row["file"] == "TLG" and row["field"] == name)
    missing = int(fact["na_value"], 16) if fact["na_value"] else -1
    return stored, np.asarray(stored.astype(np.int64) == missing)


def _scaled(records: LogRecords, name: str, count: int) -> pa.Array:
    found = _raw(records, name)
    if found is None:
        return pa.nulls(count, pa.float64())
    return pa.array(found[0].astype(np.int64) / 10.0, pa.float64(), mask=found[1])


def _plain(records: LogRecords, name: str, count: int) -> pa.Array:
    found = _raw(records, name)
    return pa.nulls(count, pa.int64()) if found is None else pa.array(found[0].astype(np.int64), mask=found[1])


def _gps_time(records: LogRecords, count: int) -> pa.Array:
    clock, date = _raw(records, "GpsUtcTime"), _raw(records, "GpsUtcDate")
    if clock is None or date is None:
        return pa.nulls(count, pa.timestamp("ms"))
    day = (date[0].astype(np.int64) * 86_400_000).astype("timedelta64[ms]")
    stamps = DAY_ZERO + day + clock[0].astype(np.int64).astype("timedelta64[ms]")
    return pa.array(stamps, pa.timestamp("ms"), mask=clock[1] | date[1])
