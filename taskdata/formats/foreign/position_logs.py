"""Positions that a receiver recorded, as logs of tasks: a task for each file, in the field that it lies in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import pyarrow as pa
import shapely
from numpy.typing import NDArray

from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.geometry.nearest import Sites
from taskdata.model.fields import Field
from taskdata.model.logs import Log, LogRecords
from taskdata.model.tasks import Task, TaskStatus
from taskdata.raised_rules.import_.log_columns_left_out import RULE as LOG_COLUMNS_LEFT_OUT
from taskdata.raised_rules.import_.times_in_utc import RULE as TIMES_IN_UTC

_SAMPLE = 500
_EPOCH = np.datetime64("1980-01-01", "ms")
_DAY = np.timedelta64(1, "D")
_TAKEN = frozenset({"time", "up_m", "fix", "satellites", "hdop", GEOMETRY})


def tasks_of_logs(tables: Sequence[RawTable], fields: Sequence[Field], first: int) -> list[Task]:
    """Return a completed task for each table of positions.

    Parameters
    ----------
    tables : sequence of RawTable
        Points in WGS 84 in the order in which they were recorded.
    fields : sequence of Field
        The fields that a log may lie in.
    first : int
        Number of the first task.
    """
    sites = Sites(item.boundaries for item in fields)
    return [_task(raw, fields, sites, number) for number, raw in enumerate(tables, first)]


def findings_of_logs(tables: Sequence[RawTable]) -> Iterator[Finding]:
    """Yield what a log of a task cannot hold of tables of positions."""
    for raw in tables:
        place = Place(file=raw.file)
        left = [
            name
            for name in raw.table.column_names
            if name not in _TAKEN and raw.table[name].null_count < len(raw.table)
        ]
        if left:
            yield LOG_COLUMNS_LEFT_OUT.at(place, layer=raw.label, columns=", ".join(left))
        if raw.table["time"].null_count < len(raw.table):
            yield TIMES_IN_UTC.at(place, layer=raw.label)


def _task(raw: RawTable, fields: Sequence[Field], sites: Sites, number: int) -> Task:
    records = _records(raw.table)
    at = np.linspace(0, len(records.lon) - 1, min(_SAMPLE, len(records.lon))).astype(np.intp)
    near = sites.nearest(shapely.MultiPoint(np.column_stack([records.lon[at], records.lat[at]])))
    log = Log(file=f"TLG{number:05d}", quantities=(), read=lambda: records)
    return Task(
        id=f"TSK{number}",
        status=TaskStatus.COMPLETED,
        name=raw.name,
        field=None if near is None else fields[near.index].id,
        logs=(log,),
    )


def _records(table: pa.Table) -> LogRecords:
    places = shapely.get_coordinates(shapely.from_wkb(np.array(table[GEOMETRY].to_pylist(), dtype=object)))
    time = table["time"].to_numpy()
    known = ~np.isnat(time)
    day = np.where(known, (time - _EPOCH) // _DAY, 0xFFFF)
    clock = np.where(known, (time - _EPOCH) % _DAY, 0xFFFFFFFF).astype(np.int64)
    return LogRecords(
        time=time.astype("datetime64[ms]"),
        lon=places[:, 0],
        lat=places[:, 1],
        up_m=table["up_m"].to_numpy(),
        status=_whole(table["fix"], 0xFF, np.uint8),
        value_record=np.empty(0, dtype=np.int64),
        value_index=np.empty(0, dtype=np.uint8),
        value=np.empty(0, dtype=np.int32),
        extras={
            "HDOP": _whole(table["hdop"], 0xFFFF, np.uint16, 10.0),
            "NumberOfSatellites": _whole(table["satellites"], 0xFF, np.uint8),
            "GpsUtcTime": clock.astype(np.uint32),
            "GpsUtcDate": day.astype(np.uint16),
        },
    )


def _whole(column: pa.ChunkedArray, missing: int, kind: type[np.unsignedinteger], scale: float = 1.0) -> NDArray[Any]:
    """Return values as the whole numbers that a log stores; what is not known or does not fit is not available."""
    values = np.asarray(column.cast(pa.float64()).to_numpy(), dtype=np.float64) * scale
    fits = (values >= 0.0) & (values < missing)
    return np.where(fits, np.round(np.where(fits, values, 0.0)), missing).astype(kind)
