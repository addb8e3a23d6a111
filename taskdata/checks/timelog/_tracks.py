"""Where and when a machine was, by its time logs: the positions that are places, and the steps between them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from taskdata.checks._ground import on_earth, steps
from taskdata.checks._once import once
from taskdata.checks.geometry.at_zero import is_zero
from taskdata.checks.subject import Subject
from taskdata.checks.timelog._records import Log as Stored
from taskdata.checks.timelog._records import logs
from taskdata.findings import Place
from taskdata.geometry.arrays import Floats, Points
from taskdata.isoxml.timelog.layout import Layout
from taskdata.model.logs import Log, LogRecords
from taskdata.model.tasks import Task

Moments: TypeAlias = NDArray[np.datetime64]
Series: TypeAlias = Callable[[int], tuple[NDArray[Any], NDArray[Any]]]


@dataclass(frozen=True, eq=False)
class Track:
    """A log of a task.

    ``time`` (n,) is local, ``utc`` (n,) the receiver's or None; ``lon`` and ``lat`` (n,) are degrees. ``series``
    returns record numbers and raw values of the quantity with that position among those of the log; ``place`` tells
    where a record stands.
    """

    task: Task
    log: Log
    time: Moments
    utc: Moments | None
    lon: Floats
    lat: Floats
    series: Series
    place: Callable[[int], Place]

    @cached_property
    def at_zero(self) -> NDArray[np.intp]:
        """Numbers of the records at latitude 0, longitude 0."""
        return np.flatnonzero(is_zero(np.column_stack([self.lon, self.lat])))

    @cached_property
    def kept(self) -> NDArray[np.intp]:
        """Numbers of the records with a position on Earth, not at 0/0, (m,)."""
        wanted = on_earth(np.column_stack([self.lon, self.lat]))
        wanted[self.at_zero] = False
        return np.flatnonzero(wanted)

    @cached_property
    def points(self) -> Points:
        """The positions that are kept, (m, 2) degrees."""
        points = np.column_stack([self.lon, self.lat])
        return points if len(self.kept) == len(points) else points[self.kept]

    @cached_property
    def way(self) -> Floats:
        """Metres from each kept position to the next, (m - 1,)."""
        return np.asarray(np.hypot(*steps(self.points[:-1], self.points[1:]).T))

    @cached_property
    def seconds(self) -> Floats:
        """Seconds from each kept position to the next, (m - 1,); NaN where a time is not known."""
        passed = np.diff(self.time[self.kept])
        seconds = passed.astype("timedelta64[ms]").astype(np.float64) / 1000.0
        seconds[np.isnat(passed)] = np.nan
        return np.asarray(seconds)

    def values(self, ddi: int) -> Iterator[tuple[NDArray[Any], NDArray[Any]]]:
        """Yield record numbers and raw values of each quantity with that number."""
        for index, quantity in enumerate(self.log.quantities):
            if quantity.ddi == ddi:
                yield self.series(index)


@once
def tracks(subject: Subject) -> tuple[Track, ...]:
    """Return every log with records, each file once; made once for a set."""
    return tuple(_all(subject))


def logged(subject: Subject) -> dict[str, int]:
    """Return how many records the logs of each task hold, by its identifier; tasks without any are left out."""
    sizes = {track.log.file.upper(): len(track.time) for track in tracks(subject)}
    counts = {task.id: sum(sizes.get(log.file.upper(), 0) for log in task.logs) for task in subject.dataset.tasks}
    return {task: count for task, count in counts.items() if count}


def _all(subject: Subject) -> Iterator[Track]:
    stored = {item.header.name.upper().removesuffix(".XML"): item for item in logs(subject)}
    done: set[str] = set()
    for task in subject.dataset.tasks:
        for log in task.logs:
            name = log.file.upper()
            if name in done:
                continue
            done.add(name)
            if name in stored:
                yield _of_stored(task, log, stored[name])
            elif subject.document is None and log.records is not None:
                yield _of_records(task, log, log.records)


def _of_stored(task: Task, log: Log, stored: Stored) -> Track:
    records = stored.records
    utc = records.utc() if _has_utc(records.layout) else None
    return Track(task, log, stored.time, utc, stored.longitude, stored.latitude, records.series, stored.place)


def _has_utc(layout: Layout) -> bool:
    known = {*layout.constants, *(field.name for field in layout.fields)}
    return {"GpsUtcDate", "GpsUtcTime"} <= known


def _of_records(task: Task, log: Log, records: LogRecords) -> Track:
    def series(index: int) -> tuple[NDArray[Any], NDArray[Any]]:
        here = np.flatnonzero(records.value_index == index)
        return records.value_record[here], records.value[here]

    def place(record: int) -> Place:
        location = float(records.lon[record]), float(records.lat[record])
        known = bool(on_earth(np.array([location]))[0])
        return Place(file=log.file, element=task.id, record=record, location=location if known else None)

    return Track(task, log, records.time, None, records.lon, records.lat, series, place)
