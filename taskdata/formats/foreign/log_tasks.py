"""Logs of positions as tasks: one for each layer, in the field that it lies in, with the records that a log stores."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import count
from typing import Any

import numpy as np
import pyarrow as pa
import shapely
from numpy.typing import NDArray

from taskdata.formats.foreign.position_logs import STORED, PositionLog
from taskdata.formats.layers import wording
from taskdata.formats.spooling import put_back
from taskdata.geometry.arrays import Points
from taskdata.geometry.nearest import Sites
from taskdata.mapped import large_array
from taskdata.model.fields import Field
from taskdata.model.logs import DAY_ZERO, Log, LogRecords
from taskdata.model.tasks import Task, TaskStatus

_SAMPLE = 500
_AT_ONCE = 500_000
_DAY = np.timedelta64(1, "D")
_TASK = re.compile(r"TSK-?[1-9]\d{0,9}")


def _tasks_of_logs(logs: Sequence[PositionLog], fields: Sequence[Field], first: int) -> list[Task]:
    """Return a completed task for each log.

    Parameters
    ----------
    logs : sequence of PositionLog
        Layers of positions.
    fields : sequence of Field
        The fields that a log may lie in.
    first : int
        Number of the first task.
    """
    sites = Sites(item.boundaries for item in fields)
    return [_task(log, fields, sites, number) for number, log in enumerate(logs, first)]


def with_logs(tasks: Sequence[Task], logs: Sequence[PositionLog], fields: Sequence[Field]) -> tuple[Task, ...]:
    """Return tasks with the logs that belong to them, and a new one for each other log."""
    found = {task.id: task for task in tasks}
    for log, made in zip(logs, _tasks_of_logs(logs, fields, len(tasks) + 1), strict=True):
        owner = found.get(log.task or "")
        if owner is not None:
            found[owner.id] = replace(owner, logs=(*owner.logs, *made.logs))
            continue
        free = (f"TSK{number}" for number in count(1) if f"TSK{number}" not in found)
        name = log.task if log.task is not None and _TASK.fullmatch(log.task) else next(free)
        found[name] = replace(made, id=name)
    return tuple(found.values())


def _task(log: PositionLog, fields: Sequence[Field], sites: Sites, number: int) -> Task:
    near = sites.nearest(shapely.MultiPoint(_some_places(log.places)))
    return Task(
        id=f"TSK{number}",
        status=TaskStatus.COMPLETED,
        name=log.raw.name,
        field=None if near is None else fields[near.index].id,
        logs=(Log(file=f"TLG{number:05d}", quantities=(), read=lambda: _records(log), count=lambda: len(log.places)),),
    )


def _some_places(places: Points) -> Points:
    """Return positions from all over a log; all that there are where those are none."""
    some = places[np.linspace(0, len(places) - 1, min(_SAMPLE, len(places))).astype(np.intp)]
    known = some[np.isfinite(some).all(axis=1)]
    return known if len(known) else places[np.isfinite(places).all(axis=1)]


def _records(log: PositionLog) -> LogRecords:
    table, time = log.raw.table, log.times.values
    extras = {
        name: _whole(table[column], missing, kind, scale)
        for column, (name, kind, missing, scale) in STORED.items()
        if column in table.column_names and _is_number(table[column].type)
    }
    if log.times.utc:
        extras |= _utc(time)
    fixes = log.raw.log and "fix" in table.column_names and _is_number(table["fix"].type)
    return LogRecords(
        time=time,
        lon=log.places[:, 0],
        lat=log.places[:, 1],
        up_m=log.up_m,
        status=_whole(table["fix"], 0xFF, np.uint8, 1.0) if fixes else _status(table),
        value_record=np.empty(0, dtype=np.int64),
        value_index=np.empty(0, dtype=np.uint8),
        value=np.empty(0, dtype=np.int32),
        extras=extras,
    )


def _utc(time: NDArray[np.datetime64]) -> dict[str, NDArray[np.generic]]:
    """Return times as a log stores those of its receiver: milliseconds of the day, and days since 1980."""
    clock, days = large_array((len(time),), "u4"), large_array((len(time),), "u2")
    clock[:], days[:] = 0xFFFFFFFF, 0xFFFF
    for start in range(0, len(time), _AT_ONCE):
        rows = slice(start, start + _AT_ONCE)
        known = np.flatnonzero(~np.isnat(time[rows])) + start
        since = time[known] - DAY_ZERO
        clock[known] = (since % _DAY).astype(np.int64)
        day = since // _DAY
        fits = (day >= 0) & (day < 0xFFFF)
        days[known[fits]] = day[fits]
        put_back()
    return {"GpsUtcTime": clock, "GpsUtcDate": days}


def _status(table: pa.Table) -> NDArray[np.uint8] | None:
    """Return the kinds of fix that words in a column of the layer ``log_records`` say."""
    if "status" not in table.column_names or not pa.types.is_string(table["status"].type):
        return None
    numbers = {word: number for number, word in wording.fix_words().items()}
    return np.array([numbers.get(word, 0xFF) for word in table["status"].to_pylist()], dtype=np.uint8)


def _is_number(kind: pa.DataType) -> bool:
    return bool(pa.types.is_integer(kind) or pa.types.is_floating(kind))


def _whole(column: pa.ChunkedArray, missing: int, kind: Any, scale: float) -> NDArray[Any]:
    """Return values as the whole numbers that a log stores; what is not known or does not fit is not available."""
    values = np.asarray(column.cast(pa.float64(), safe=False).to_numpy(), dtype=np.float64) * scale
    fits = (values >= 0.0) & (values < missing)
    return np.where(fits, np.round(np.where(fits, values, 0.0)), missing).astype(kind)
