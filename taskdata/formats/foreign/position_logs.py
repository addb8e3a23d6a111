"""Positions recorded one after the other, as logs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from numpy.typing import NDArray

from taskdata.amounts import counted
from taskdata.dataclass import dataclass
from taskdata.errors import UnfitError
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.times import Times, stamps_of, time_columns, times_of
from taskdata.formats.geometries.point_columns import PointColumn, point_column
from taskdata.formats.spooling import put_back
from taskdata.geometry.arrays import Points
from taskdata.geometry.metres import steps
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

_AT_ONCE = 500_000
"""Rows that are looked at together."""

_OF_RECORDS = ("time", "task", "task_name", "file", "record", "key", "status", "gps_time")
"""Columns of the layers of log records that say whose record a row is, when it was made, and by what fix."""

STORED: dict[str, tuple[str, type, int, float]] = {
    "pdop": ("PDOP", np.uint16, 0xFFFF, 10.0),
    "hdop": ("HDOP", np.uint16, 0xFFFF, 10.0),
    "satellites": ("NumberOfSatellites", np.uint8, 0xFF, 1.0),
}
"""Columns that a log stores: the standard's name, its type, what stands for not available, steps in a unit."""

_TIME, _TEXT = pa.timestamp("ms"), pa.string()
_KINDS = {_TIME: "time", _TEXT: "text"}


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
    points = point_column(raw.table[GEOMETRY])
    if points is None:
        return None
    found = _log(raw, times, points)
    return found if raw.log or _runs_on(found) else None


def log_without_times(raw: RawTable) -> PositionLog | None:
    """Return a layer of points as a log without times, in the order of its rows; None of anything but points."""
    with np.errstate(invalid="ignore"):
        points = point_column(raw.table[GEOMETRY])
    if points is None:
        return None
    return _log(raw, Times((), np.full(len(points.places), np.datetime64("NaT", "ms"))), points)


def _log(raw: RawTable, times: Times, points: PointColumn) -> PositionLog:
    up = points.up_m
    if "up_m" in raw.table.column_names:
        up = _numbers(raw.table["up_m"], up)
    return PositionLog(raw, times, points.places, up)


def _numbers(column: pa.ChunkedArray, otherwise: NDArray[np.float64] | None) -> NDArray[np.float64] | None:
    """Return a column as numbers, something else where it holds other things."""
    try:
        return np.asarray(column.cast(pa.float64(), safe=False).to_numpy(), dtype=np.float64)
    except pa.ArrowException:
        return otherwise


def logs_of_records(raw: RawTable) -> list[PositionLog]:
    """Return the logs that the rows of a layer of log records are, where nothing else is carried of their tasks.

    Raises
    ------
    UnfitError
        What should be times, or the names of tasks and files, is something else.
    """
    table = raw.table
    if "time" not in table.column_names or GEOMETRY not in table.column_names:
        return []
    table = table.set_column(table.column_names.index("time"), "time", _as(table, "time", _TIME))
    owners = [_as(table, name, _TEXT) for name in ("task", "file") if name in table.column_names]
    names = pc.binary_join_element_wise(*owners, " ") if owners else pa.array([raw.name] * len(table))
    logs = []
    for name in pc.unique(names).to_pylist():
        rows = table.filter(pc.equal(names, name) if name is not None else pc.is_null(names))
        part = replace(raw, name=name or raw.name, table=rows, log=True)
        points = point_column(rows[GEOMETRY])
        if points is not None:
            log = _log(part, Times(_OF_RECORDS, stamps_of(rows["time"])), points)
            logs.append(replace(log, task=rows["task"][0].as_py() if "task" in rows.column_names else None))
    return logs


def _as(table: pa.Table, name: str, kind: pa.DataType) -> pa.ChunkedArray:
    try:
        return table[name].cast(kind, safe=False)
    except pa.ArrowException:
        raise UnfitError(f"its column {name} holds something that is not a {_KINDS[kind]}") from None


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


def findings_of_logs(logs: Sequence[PositionLog]) -> Iterator[Finding]:
    """Yield what was concluded of layers of positions, and what a log cannot hold of them."""
    for log in logs:
        place, label = Place(file=log.raw.file), log.raw.label
        if not log.raw.log and log.times.columns:
            yield POINTS_TAKEN_AS_LOG.at(place, layer=label, columns=" and ".join(log.times.columns))
        taken = {*log.times.columns, *STORED, "up_m", *(["fix"] if log.raw.log else []), GEOMETRY}
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
    return point_column(raw.table[GEOMETRY]) is not None


def _runs_on(log: PositionLog) -> bool:
    """Tell whether time goes on from row to row, and places follow each other as those of a vehicle do."""
    going = count = 0
    moves = False
    for time, places in _known(log):
        seconds = np.diff(time).astype(np.float64) / 1000.0
        metres = np.hypot(*steps(places[:-1], places[1:]).T)
        going += int(((seconds >= 0.0) & (metres <= FASTEST_M_S * np.maximum(seconds, 1.0))).sum())
        count += len(seconds)
        moves |= bool((seconds > 0.0).any())
    return count + 1 >= FEWEST and going >= _MOST * count and moves


def _known(log: PositionLog) -> Iterator[tuple[NDArray[np.datetime64], Points]]:
    """Yield the rows with a time and a position in blocks, each with the last one of the block before."""
    time, places = np.empty(0, "datetime64[ms]"), np.empty((0, 2))
    for start in range(0, len(log.places), _AT_ONCE):
        rows = slice(start, start + _AT_ONCE)
        known = ~np.isnat(log.times.values[rows]) & np.isfinite(log.places[rows]).all(axis=1)
        put_back()
        time = np.concatenate([time[-1:], log.times.values[rows][known]])
        places = np.vstack([places[-1:], log.places[rows][known]])
        yield time, places
