"""Positions recorded one after the other, as logs of tasks: a task for each layer, in the field that it lies in."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import shapely
from numpy.typing import NDArray

from taskdata.amounts import counted
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.times import Times, stamps_of, time_columns, times_of
from taskdata.formats.layers import wording
from taskdata.geometry.arrays import Points
from taskdata.geometry.metres import steps
from taskdata.geometry.nearest import Sites
from taskdata.model.fields import Field
from taskdata.model.logs import DAY_ZERO, Log, LogRecords
from taskdata.model.tasks import Task, TaskStatus
from taskdata.raised_rules.import_.log_columns_left_out import RULE as LOG_COLUMNS_LEFT_OUT
from taskdata.raised_rules.import_.log_without_times import RULE as LOG_WITHOUT_TIMES
from taskdata.raised_rules.import_.points_taken_as_log import RULE as POINTS_TAKEN_AS_LOG
from taskdata.raised_rules.import_.times_in_utc import RULE as TIMES_IN_UTC
from taskdata.raised_rules.import_.times_not_understood import RULE as TIMES_NOT_UNDERSTOOD

FEWEST = 10
"""Points with fewer rows than this are places that somebody marked, and no log."""

FASTEST_M_S = 40.0
"""Positions of a log lie closer to each other than a vehicle drives in the time between them (common practice)."""

_MOST = 0.9
"""Share of the steps of a log in which time goes on and the place is within reach."""

_SAMPLE = 500
_DAY = np.timedelta64(1, "D")
_TASK = re.compile(r"TSK-?[1-9]\d{0,9}")
_OF_RECORDS = ("time", "task", "task_name", "file", "record", "key", "status", "gps_time")
"""Columns of the layers of log records that say whose record a row is, when it was made, and by what fix."""

_STORED: dict[str, tuple[str, type, int, float]] = {
    "pdop": ("PDOP", np.uint16, 0xFFFF, 10.0),
    "hdop": ("HDOP", np.uint16, 0xFFFF, 10.0),
    "satellites": ("NumberOfSatellites", np.uint8, 0xFF, 1.0),
}
"""Columns that a log stores: the standard's name, its type, what stands for not available, steps in a unit."""


@dataclass(frozen=True, eq=False)
class PositionLog:
    """A layer whose points are the records of a log.

    Parameters
    ----------
    raw : RawTable
        The layer, in WGS 84.
    times : Times
        When each row was recorded.
    places : float64 (n, 2)
        Degrees, NaN where a row has no place.
    up_m : float64 (n,) or None
        Heights in metres.
    task : str or None
        Identifier of the task that it belongs to, where the layer says it.
    """

    raw: RawTable
    times: Times
    places: Points
    up_m: NDArray[np.float64] | None
    task: str | None = None


def position_log(raw: RawTable) -> PositionLog | None:
    """Return a layer as a log, None where its rows are something else.

    Points are the records of a log if their format says so, or if there are at least ``FEWEST`` of them, a column holds
    their times, and in nearly every step from row to row time goes on and the place is within reach of a vehicle.
    """
    if GEOMETRY not in raw.table.column_names:
        return None
    times = Times(("time",), stamps_of(raw.table["time"]), utc=True) if raw.log else times_of(raw.table)
    if times is None or (not raw.log and raw.table.num_rows < FEWEST):
        return None
    shapes = shapely.from_wkb(np.array(raw.table[GEOMETRY].to_pylist(), dtype=object))
    if not _are_points(shapes):
        return None
    found = _log(raw, times, shapes)
    return found if raw.log or _runs_on(found) else None


def log_without_times(raw: RawTable) -> PositionLog | None:
    """Return a layer of points as a log without times, in the order of its rows; None of anything but points."""
    with np.errstate(invalid="ignore"):
        shapes = shapely.from_wkb(np.array(raw.table[GEOMETRY].to_pylist(), dtype=object), on_invalid="ignore")
    if not _are_points(shapes):
        return None
    return _log(raw, Times((), np.full(len(shapes), np.datetime64("NaT", "ms"))), shapes)


def _log(raw: RawTable, times: Times, shapes: NDArray[Any]) -> PositionLog:
    up = shapely.get_z(shapes) if shapely.has_z(shapes).any() else None
    if "up_m" in raw.table.column_names:
        up = np.asarray(raw.table["up_m"].cast(pa.float64()).to_numpy(), dtype=np.float64)
    return PositionLog(raw, times, np.column_stack([shapely.get_x(shapes), shapely.get_y(shapes)]), up)


def logs_of_records(raw: RawTable) -> list[PositionLog]:
    """Return the logs that the rows of a layer of log records are, where nothing else is carried of their tasks."""
    table = raw.table
    if "time" not in table.column_names or GEOMETRY not in table.column_names:
        return []
    owners = [table[name].cast(pa.string()) for name in ("task", "file") if name in table.column_names]
    names = pc.binary_join_element_wise(*owners, " ") if owners else pa.array([raw.name] * len(table))
    logs = []
    for name in pc.unique(names).to_pylist():
        rows = table.filter(pc.equal(names, name) if name is not None else pc.is_null(names))
        part = replace(raw, name=name or raw.name, table=rows, log=True)
        shapes = shapely.from_wkb(np.array(rows[GEOMETRY].to_pylist(), dtype=object), on_invalid="ignore")
        if _are_points(shapes):
            log = _log(part, Times(_OF_RECORDS, stamps_of(rows["time"])), shapes)
            logs.append(replace(log, task=rows["task"][0].as_py() if "task" in rows.column_names else None))
    return logs


def findings_of_points(tables: Iterable[RawTable]) -> Iterator[Finding]:
    """Yield why layers of points are no logs although a column is called a time."""
    for raw in tables:
        columns = time_columns(raw.table)
        if not columns or raw.table.num_rows < FEWEST or not _is_of_points(raw):
            continue
        times = times_of(raw.table)
        if not _say_a_clock(raw.table, times, columns):
            continue
        reason = "they do not go on from row to row, or the places lie too far apart"
        if times is None:
            reason = "they are not all a date and a time in one notation, or day and month cannot be told apart"
        yield TIMES_NOT_UNDERSTOOD.at(
            Place(file=raw.file),
            layer=raw.label,
            columns=" and ".join(times.columns if times else columns),
            reason=reason,
        )


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


def findings_of_logs(logs: Sequence[PositionLog]) -> Iterator[Finding]:
    """Yield what was concluded of layers of positions, and what a log cannot hold of them."""
    for log in logs:
        place, label = Place(file=log.raw.file), log.raw.label
        if not log.raw.log and log.times.columns:
            yield POINTS_TAKEN_AS_LOG.at(place, layer=label, columns=" and ".join(log.times.columns))
        taken = {*log.times.columns, *_STORED, "up_m", *(["fix"] if log.raw.log else []), GEOMETRY}
        rest = [name for name in log.raw.table.column_names if name not in taken]
        left = [name for name in rest if log.raw.table[name].null_count < len(log.raw.table)]
        if left:
            yield LOG_COLUMNS_LEFT_OUT.at(place, layer=label, columns=", ".join(left))
        lacking = int(np.isnat(log.times.values).sum()) if not log.raw.log else 0
        if lacking and not log.times.columns:
            yield LOG_WITHOUT_TIMES.at(place, layer=label, count=lacking)
        elif lacking:
            reason = f"{counted(lacking, 'row')} without a date and a time"
            columns = " and ".join(log.times.columns)
            yield TIMES_NOT_UNDERSTOOD.at(place, layer=label, columns=columns, reason=reason)
        if log.times.utc and not np.isnat(log.times.values).all():
            yield TIMES_IN_UTC.at(place, layer=label)


def _say_a_clock(table: pa.Table, times: Times | None, columns: Sequence[str]) -> bool:
    """Tell whether columns hold times of day, and not dates alone."""
    if times is not None:
        known = times.values[~np.isnat(times.values)]
        return bool((known != known.astype("datetime64[D]")).any())
    texts = [table[name] for name in columns if pa.types.is_string(table[name].type)]
    return any(pc.any(pc.match_substring_regex(column, r"\d:\d\d")).as_py() for column in texts)


def _is_of_points(raw: RawTable) -> bool:
    if GEOMETRY not in raw.table.column_names:
        return False
    return _are_points(shapely.from_wkb(np.array(raw.table[GEOMETRY].to_pylist(), dtype=object), on_invalid="ignore"))


def _are_points(shapes: NDArray[Any]) -> bool:
    there = ~shapely.is_missing(shapes)
    return bool(there.any() and (shapely.get_type_id(shapes[there]) == shapely.GeometryType.POINT).all())


def _runs_on(log: PositionLog) -> bool:
    """Tell whether time goes on from row to row, and places follow each other as those of a vehicle do."""
    known = ~np.isnat(log.times.values) & np.isfinite(log.places).all(axis=1)
    time, places = log.times.values[known], log.places[known]
    if len(time) < FEWEST:
        return False
    seconds = np.diff(time).astype(np.float64) / 1000.0
    metres = np.hypot(*steps(places[:-1], places[1:]).T)
    going = (seconds >= 0.0) & (metres <= FASTEST_M_S * np.maximum(seconds, 1.0))
    return bool(going.mean() >= _MOST and (seconds > 0.0).any())


def _task(log: PositionLog, fields: Sequence[Field], sites: Sites, number: int) -> Task:
    placed = log.places[np.isfinite(log.places).all(axis=1)]
    at = np.linspace(0, len(placed) - 1, min(_SAMPLE, len(placed))).astype(np.intp)
    near = sites.nearest(shapely.MultiPoint(placed[at]))
    records = _records(log)
    return Task(
        id=f"TSK{number}",
        status=TaskStatus.COMPLETED,
        name=log.raw.name,
        field=None if near is None else fields[near.index].id,
        logs=(Log(file=f"TLG{number:05d}", quantities=(), read=lambda: records),),
    )


def _records(log: PositionLog) -> LogRecords:
    table, time = log.raw.table, log.times.values
    extras = {
        name: _whole(table[column], missing, kind, scale)
        for column, (name, kind, missing, scale) in _STORED.items()
        if column in table.column_names and _is_number(table[column].type)
    }
    if log.times.utc:
        known = ~np.isnat(time)
        since = np.where(known, time, DAY_ZERO) - DAY_ZERO
        extras["GpsUtcTime"] = np.where(known, (since % _DAY).astype(np.int64), 0xFFFFFFFF).astype(np.uint32)
        day = np.where(known, since // _DAY, -1)
        extras["GpsUtcDate"] = np.where((day >= 0) & (day < 0xFFFF), day, 0xFFFF).astype(np.uint16)
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
