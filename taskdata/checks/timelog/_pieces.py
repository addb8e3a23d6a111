"""Some records of a log that follow one another, and where and when the machine was: rules look at them in turn."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cached_property
from typing import Any, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from taskdata.checks.geometry.at_zero import NEAR_DEGREES
from taskdata.findings import Place
from taskdata.geometry.arrays import Floats
from taskdata.isoxml.timelog.layout import pair_dtype
from taskdata.isoxml.timelog.log import TimeLog
from taskdata.model.logs import LogRecords

Moments: TypeAlias = NDArray[np.datetime64]
Numbers: TypeAlias = NDArray[np.intp]
Series: TypeAlias = tuple[NDArray[Any], NDArray[Any]]


class Spot(NamedTuple):
    """A record with a position: its number in the log, time, longitude and latitude."""

    record: int
    time: np.datetime64
    lon: float
    lat: float


class Piece:
    """Some records of a log, numbered from 0 here.

    Parameters
    ----------
    first : int
        Number of the first record in the log.
    before : Spot or None
        The last record before these with a position on Earth, not at 0/0.
    make_place : callable
        Makes a place of a record's number in the log and its offset in the file, None where there is no file.
    columns : tuple of arrays
        Longitude and latitude in degrees, NaN where not available, and local time, NaT where not available.
    """

    def __init__(
        self,
        first: int,
        before: Spot | None,
        make_place: Callable[[int, int | None], Place],
        columns: tuple[Floats, Floats, Moments],
    ) -> None:
        self.first, self.before, self.make_place = first, before, make_place
        self.lon, self.lat, self.time = columns

    def offsets(self, records: Numbers) -> NDArray[np.int64]:
        """Where records begin in the binary file, (n,); -1 where there is none."""
        return np.full(len(records), -1, np.int64)

    def series(self, position: int) -> Series:
        """Return record numbers and raw values of the quantity at a position among those of the log."""
        raise NotImplementedError

    @cached_property
    def utc(self) -> Moments:
        """Time of the receiver, (records,); NaT = not available."""
        return np.full(len(self.time), np.datetime64("NaT", "ms"))

    def place(self, record: int) -> Place:
        """Where a record stands in its file, and on Earth where it tells that."""
        offset = int(self.offsets(np.array([record]))[0])
        found = self.make_place(self.first + record, None if offset < 0 else offset)
        lon, lat = float(self.lon[record]), float(self.lat[record])
        return replace(found, location=(lon, lat)) if abs(lon) <= 180.0 and abs(lat) <= 90.0 else found

    @cached_property
    def at_zero(self) -> Numbers:
        """Records at latitude 0, longitude 0."""
        if self._frame is None:
            return np.flatnonzero((np.abs(self.lon) < NEAR_DEGREES) & (np.abs(self.lat) < NEAR_DEGREES))
        return np.zeros(0, np.intp)

    @cached_property
    def _frame(self) -> tuple[float, float, float, float] | None:
        """The box of all positions, where each is on Earth and none can lie at 0/0."""
        if not len(self.lon):
            return None
        west, east, south, north = (float(end) for end in (*_ends(self.lon), *_ends(self.lat)))
        far = west >= NEAR_DEGREES or east <= -NEAR_DEGREES or south >= NEAR_DEGREES or north <= -NEAR_DEGREES
        on_earth = west >= -180.0 and east <= 180.0 and south >= -90.0 and north <= 90.0
        return (west, east, south, north) if far and on_earth else None

    @cached_property
    def kept(self) -> Numbers | None:
        """Records with a position on Earth, not at 0/0; None = all."""
        if self._frame is not None:
            return None
        wanted = (np.abs(self.lon) <= 180.0) & (np.abs(self.lat) <= 90.0)
        wanted[self.at_zero] = False
        return np.flatnonzero(wanted)

    @cached_property
    def spots(self) -> int:
        """How many positions are kept."""
        return len(self.lon) if self.kept is None else len(self.kept)

    def record_of(self, spot: int) -> int:
        """Return the record of a position by its number among those that are kept."""
        return spot if self.kept is None else int(self.kept[spot])

    @cached_property
    def joined(self) -> int:
        """1 where the steps begin at the position before this piece, else 0."""
        return int(self.before is not None)

    @cached_property
    def way_points(self) -> tuple[Floats, Floats, Moments]:
        """Longitude, latitude and time of the positions that are kept, the one before them at the front."""
        found: list[NDArray[Any]] = [self.lon, self.lat, self.time]
        if self.kept is not None:
            found = [column[self.kept] for column in found]
        if self.before is not None:
            ends = (self.before.lon, self.before.lat, self.before.time)
            found = [np.concatenate([[end], column]) for end, column in zip(ends, found, strict=True)]
        return found[0], found[1], found[2]

    @cached_property
    def degrees(self) -> tuple[Floats, Floats]:
        """Degrees east and north from each position to the next; longitudes are not taken the short way round."""
        lon, lat, _ = self.way_points
        return np.diff(lon), np.diff(lat)

    @property
    def last(self) -> Spot | None:
        """The last position up to the end of this piece."""
        if not self.spots:
            return self.before
        record = self.record_of(self.spots - 1)
        return Spot(self.first + record, self.time[record], float(self.lon[record]), float(self.lat[record]))


class StoredPiece(Piece):
    """Records of a binary file."""

    def __init__(
        self, records: TimeLog, start: int, first: int, before: Spot | None, make_place: Callable[..., Place]
    ) -> None:
        self.records, self.start = records, start
        super().__init__(first, before, make_place, (records.longitude(), records.latitude(), records.time()))

    @cached_property
    def utc(self) -> Moments:
        """Time of the receiver, (records,); NaT = not available."""
        return self.records.utc()

    @cached_property
    def regular(self) -> NDArray[np.uint8] | None:
        """Positions of the values of a record, where every record holds the same in the same order; else None."""
        count, index = len(self.records), self.records.index
        values = index.size // count if count else 0
        if not values or values * count != index.size or not bool((self.records.counts == values).all()):
            return None
        table = index.reshape(count, values)
        return table[0] if bool((table == table[0]).all()) else None

    def series(self, position: int) -> Series:
        """Return record numbers and raw values of the quantity at a position of the header."""
        places = self.regular
        where = np.zeros(0, np.intp) if places is None else np.flatnonzero(places == position)
        if places is None or len(where) != 1:
            return self.records.series(position)
        return np.arange(len(self.records)), self.records.value[int(where[0]) :: len(places)]

    @property
    def size(self) -> int:
        """Bytes of the records."""
        return len(self.records) * self.records.layout.dtype.itemsize + pair_dtype().itemsize * self.records.index.size

    def offsets(self, records: Numbers) -> NDArray[np.int64]:
        """Where records begin in the binary file, (n,)."""
        head, pair = self.records.layout.dtype.itemsize, pair_dtype().itemsize
        if self.regular is not None:
            return np.asarray(self.start + records.astype(np.int64) * (head + pair * len(self.regular)))
        values = self._values_before[records]
        return np.asarray(self.start + records.astype(np.int64) * head + pair * values)

    @cached_property
    def _values_before(self) -> NDArray[np.int64]:
        counts = self.records.counts.astype(np.int64)
        return np.cumsum(counts) - counts


class ReadPiece(Piece):
    """Records of a log that comes from no binary file."""

    def __init__(self, records: LogRecords, first: int, before: Spot | None, make_place: Callable[..., Place]) -> None:
        self.records = records
        super().__init__(first, before, make_place, (records.lon, records.lat, records.time))

    def series(self, position: int) -> Series:
        """Return record numbers and raw values of a quantity."""
        here = np.flatnonzero(self.records.value_index == position)
        return self.records.value_record[here], self.records.value[here]


def stored_pieces(parts: Iterator[TimeLog], make_place: Callable[..., Place]) -> Iterator[StoredPiece]:
    """Yield the pieces of a binary file."""
    start, first, before = 0, 0, None
    for part in parts:
        piece = StoredPiece(part, start, first, before, make_place)
        yield piece
        start, first, before = start + piece.size, first + len(part), piece.last


def read_pieces(parts: Iterator[LogRecords], make_place: Callable[..., Place]) -> Iterator[ReadPiece]:
    """Yield the pieces of a log that comes from no binary file."""
    first, before = 0, None
    for part in parts:
        piece = ReadPiece(part, first, before, make_place)
        yield piece
        first, before = first + len(part.time), piece.last


def _ends(column: Floats) -> tuple[float, float]:
    return column.min(), column.max()
