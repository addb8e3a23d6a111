"""The time log in memory: raw columns as stored, and what they mean."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from functools import cached_property
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.findings import Finding
from taskdata.isoxml.timelog.layout import COUNT, MOST_VALUES, Layout
from taskdata.model.logs import DAY_ZERO

Rows: TypeAlias = NDArray[np.void]
DAY_MS = 86_400_000
NO_POSITION = 0x7FFFFFFF


@dataclass(frozen=True, eq=False)
class TimeLog:
    """A decoded time log; nothing is converted until it is asked for.

    In memory a record takes what it takes in the file: its fixed part (at most 31 bytes: time 6, position 12, quality
    6, UTC 6, count 1) and 5 bytes a value; asking for `record` adds 4 bytes a value. Ten million records with time,
    position, status and six values each: 160 MB fixed part, 300 MB values, 240 MB record numbers.

    Parameters
    ----------
    layout : Layout
        What the header says.
    rows : structured array (records,)
        The fixed part of each record, raw scaled integers as stored; the count of values among them.
    index : array of uint8 (values,)
        Position in the header of each stored value, in file order.
    value : array of int32 (values,)
        The raw integers, unit and resolution by the DDI of the header.
    trailing : bytes
        What follows the last whole record: a cut record or padding.
    findings : tuple of Finding
        Faults of the binary file (those of the header are in ``layout.findings``).
    """

    layout: Layout
    rows: Rows
    index: NDArray[np.uint8]
    value: NDArray[np.int32]
    trailing: bytes = b""
    findings: tuple[Finding, ...] = ()

    def __len__(self) -> int:
        return self.rows.size

    @classmethod
    def build(
        cls, layout: Layout, columns: Mapping[str, ArrayLike], record: ArrayLike, index: ArrayLike, value: ArrayLike
    ) -> TimeLog:
        """Return a log from raw columns and values.

        Parameters
        ----------
        layout : Layout
            Its fields name the columns.
        columns : mapping of field name to array (records,)
            Raw integers for every stored field.
        record, index, value : array (values,)
            Record number of each value (ascending), its position in the header, its raw integer.

        Raises
        ------
        UsageError
            A column is missing or of another length, a number does not fit its field, records are not ascending, or
            a record has more than 255 values.
        """
        rows = _rows(layout, columns)
        numbers = np.asarray(record, dtype=np.int64)
        flat_index = _fitting(index, np.dtype(np.uint8), "value index").astype(np.uint8)
        flat_value = _fitting(value, np.dtype(np.int32), "value").astype(np.int32)
        if not flat_index.size == flat_value.size == numbers.size:
            raise UsageError("record, index and value of a time log must be of one length")
        counts = _counts(numbers, rows.size, MOST_VALUES if layout.counted else 0)
        if layout.counted:
            rows[COUNT] = counts
        return cls(layout, rows, flat_index, flat_value)

    @property
    def counts(self) -> NDArray[np.uint8]:
        """Number of values of each record."""
        if self.layout.counted:
            return np.asarray(self.rows[COUNT])
        return np.zeros(len(self), dtype=np.uint8)

    @cached_property
    def record(self) -> NDArray[np.int32] | NDArray[np.int64]:
        """Record number of each value, (values,), ascending; int64 only beyond 2**31 records."""
        if len(self) <= np.iinfo(np.int32).max:
            return np.repeat(np.arange(len(self), dtype=np.int32), self.counts)
        return np.repeat(np.arange(len(self), dtype=np.int64), self.counts)

    def column(self, name: str) -> NDArray[Any]:
        """Return the raw integers of a stored field, (records,), a view.

        Raises
        ------
        KeyError
            Records do not store such a field; it may be a constant or not exist.
        """
        return np.asarray(self.rows[self.layout.field(name).name])

    def measure(self, name: str) -> NDArray[np.float64]:
        """Return a field in its unit (degrees, mm, ms, d, or plain), (records,), float64; NaN = not available.

        A constant of the header stands for every record; a field that does not exist is NaN throughout. Positions are
        also taken as not available where they hold 7FFFFFFF (common practice: the marker for signed integers on the
        machine's network). Positions out of range stay numbers. A height of -1 mm equals the marker.
        """
        constant = self.layout.constants.get(name)
        if constant is not None:
            return np.full(len(self), float(constant))
        try:
            field = self.layout.field(name)
        except KeyError:
            return np.full(len(self), np.nan)
        raw = self.column(name)
        numbers = raw / float(1 / Decimal(field.scale))
        absent = raw == field.missing
        if field.dtype == "<i4":
            absent |= raw == NO_POSITION
        numbers[absent] = np.nan
        return numbers

    def longitude(self) -> NDArray[np.float64]:
        """Return WGS 84 longitude in degrees, (records,); NaN = not available."""
        return self.measure("PositionEast")

    def latitude(self) -> NDArray[np.float64]:
        """Return WGS 84 latitude in degrees, (records,); NaN = not available."""
        return self.measure("PositionNorth")

    def up_m(self) -> NDArray[np.float64]:
        """Return height above the WGS 84 ellipsoid in metres, (records,); NaN = not available."""
        return self.measure("PositionUp") / 1000

    def time(self) -> NDArray[np.datetime64]:
        """Return local time as datetime64[ms], (records,); NaT = not available."""
        if self.layout.start is not None:
            return np.full(len(self), self.layout.start)
        return self._moment("TimeStartDate", "TimeStartTimeOfDay")

    def utc(self) -> NDArray[np.datetime64]:
        """Return UTC of the receiver as datetime64[ms], (records,); NaT = not available."""
        return self._moment("GpsUtcDate", "GpsUtcTime")

    def series(self, index: int) -> tuple[NDArray[np.integer[Any]], NDArray[np.int32]]:
        """Return record numbers and raw values of the DLV at position ``index`` of the header.

        Records without a new value are absent: they have none, it did not become zero (ISO 11783-10, 6.8.4).
        """
        here = np.flatnonzero(self.index == index)
        return self.record[here], self.value[here]

    def take(self, mask: ArrayLike) -> TimeLog:
        """Return a log of the records where ``mask`` (bool, (records,)) is true, with their values renumbered.

        Findings and trailing bytes belong to the file and are not carried over.

        Raises
        ------
        UsageError
            The mask is not one bool a record.
        """
        chosen = np.asarray(mask)
        if chosen.dtype != np.bool_ or chosen.shape != self.rows.shape:
            raise UsageError(f"a selection of records needs one true or false for each of the {len(self)} records")
        of_values = np.repeat(chosen, self.counts)
        return TimeLog(self.layout, self.rows[chosen], self.index[of_values], self.value[of_values])

    def between(self, first: int, last: int) -> TimeLog:
        """Return a log of the records from one number up to another, views; trailing bytes are not carried over."""
        if first == 0 and last == len(self):
            return self
        ends = np.concatenate([[0], np.cumsum(self.counts, dtype=np.int64)])
        values = slice(int(ends[first]), int(ends[last]))
        return TimeLog(self.layout, self.rows[first:last], self.index[values], self.value[values])

    def append(self, other: TimeLog) -> TimeLog:
        """Return a log of the records of both, this one's first; findings and trailing bytes are not carried over.

        Raises
        ------
        UsageError
            The headers differ.
        """
        here, there = self.layout, other.layout
        if (here.dtype, here.constants, here.start, here.values) != (
            there.dtype,
            there.constants,
            there.start,
            there.values,
        ):
            raise UsageError("only time logs with the same header can be joined")
        return TimeLog(
            here,
            np.concatenate([self.rows, other.rows]),
            np.concatenate([self.index, other.index]),
            np.concatenate([self.value, other.value]),
        )

    def _moment(self, day_name: str, time_name: str) -> NDArray[np.datetime64]:
        day, time = self.measure(day_name), self.measure(time_name)
        absent = np.isnan(day) | np.isnan(time)
        milliseconds = np.where(absent, 0, day * DAY_MS + time).astype("timedelta64[ms]")
        moments = DAY_ZERO + milliseconds
        moments[absent] = np.datetime64("NaT")
        return moments


def _rows(layout: Layout, columns: Mapping[str, ArrayLike]) -> Rows:
    sizes = {np.asarray(columns[field.name]).size for field in layout.fields if field.name in columns}
    if len(sizes) != 1 or any(field.name not in columns for field in layout.fields):
        raise UsageError("the columns of a time log must be those of its layout, all of one length")
    rows = np.zeros(sizes.pop(), dtype=layout.dtype)
    for field in layout.fields:
        rows[field.name] = _fitting(columns[field.name], rows.dtype[field.name], field.name)
    return rows


def _counts(record: NDArray[np.int64], records: int, most: int) -> NDArray[np.int64]:
    """Return how many values each record has, after a check that the file can hold them."""
    if record.size and (record[0] < 0 or np.any(np.diff(record) < 0)):
        raise UsageError("the values of a time log must be in the order of their records")
    if record.size and record[-1] >= records:
        raise UsageError(f"a value names record {record[-1]}, but the time log has {records}")
    counts = np.bincount(record, minlength=records)
    if record.size and counts.max() > most:
        raise UsageError(f"a record of a time log can hold {most} values")
    return counts


def _fitting(numbers: ArrayLike, dtype: np.dtype[Any], name: str) -> NDArray[Any]:
    array = np.asarray(numbers)
    if array.size == 0:
        return array.astype(dtype)
    limits = np.iinfo(dtype)
    if array.dtype.kind not in "iu" or array.min() < limits.min or array.max() > limits.max:
        raise UsageError(f"{name} of a time log takes integers from {limits.min} to {limits.max}")
    return array
