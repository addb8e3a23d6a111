"""Measured records: what each was at work on, and what tells whether it can be believed.

A record stands for the ground from its position to the next. Its value is the one that holds there, by the delay that
the user gives or the machine states. A yield by time is spread over the ground swept until the next record.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.fieldwork.applied.channels import Channel, columns_of_rate
from taskdata.fieldwork.measured.channels import BY_TIME
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.geometry import sweeps
from taskdata.geometry.arrays import Floats
from taskdata.geometry.paths import lengths
from taskdata.geometry.sweeps import Quads
from taskdata.quantities.dictionary import entry

HOLD_STATUS, HELD = 239, 1
HOLDABLE = frozenset({*range(83, 92), *range(181, 184), *range(185, 191)})
"""Yields whose values are frozen while the status says so (the text of DDI 239)."""

MOISTURE = 99
_PPM = 1e-6
_COLUMNS = ("record", "stamp", "time", "value", "raw", "moisture", "frozen", "speed", "turn", "quads", "area")

Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class MeasuredRecords:
    """n records at work, and m pieces of ground that they swept.

    Parameters
    ----------
    log : tuple of str
        File of each record's log.
    record : ndarray
        (n,) number of the record in its log.
    stamp : ndarray
        (n,) local time, NaT where not known.
    time : ndarray
        (n,) seconds on one clock for all logs; numbers of records where logs hold no time.
    value : ndarray
        (n,) as a yield by area, else in the unit of the dictionary; NaN where not known.
    raw : ndarray
        (n,) as logged, NaN where not known.
    moisture : ndarray
        (n,) share of water in the mass, NaN where not known.
    frozen : ndarray
        (n,) whether the machine says that it holds its yields.
    speed, turn : ndarray
        (n,) m/s until the next record, and degrees by which the course changes about it; NaN where not known.
    quads, area, owner : ndarray
        (m, 4, 2), (m,) m², and (m,) the record of each piece.
    """

    log: tuple[str, ...]
    record: Indices
    stamp: NDArray[np.datetime64]
    time: Floats
    value: Floats
    raw: Floats
    moisture: Floats
    frozen: Flags
    speed: Floats
    turn: Floats
    quads: Quads
    area: Floats
    owner: Indices

    @property
    def ground_m2(self) -> Floats:
        """(n,) what each record swept."""
        return _summed(self.owner, self.area, len(self.record))


def measured_records(
    works: Sequence[LogWork], channels: Sequence[Channel], delay_s: float | None, turn_over_m: float
) -> MeasuredRecords | None:
    """Return the records at work of all works whose log holds a quantity, None where there is none.

    ``channels`` are the parts that measured it. Of parts over the same sections the first counts.
    """
    chosen = [(work, channel, columns) for work in works for channel, columns in _beside(work, channels)]
    found = (_of_work(work, (channel, columns), delay_s, turn_over_m) for work, channel, columns in chosen)
    parts = [part for part in found if part is not None]
    if not parts:
        return None
    starts = np.cumsum([0, *(len(part.record) for part in parts[:-1])])
    joined = {name: np.concatenate([getattr(part, name) for part in parts]) for name in _COLUMNS}
    owner = np.concatenate([part.owner + start for part, start in zip(parts, starts, strict=True)])
    return MeasuredRecords(tuple(name for part in parts for name in part.log), **joined, owner=owner)


def _beside(work: LogWork, channels: Sequence[Channel]) -> Iterator[tuple[Channel, list[int]]]:
    """Yield parts that measured in a log, and the sections that each is for, none of which any other is for."""
    taken: set[int] = set()
    for channel in channels:
        columns = columns_of_rate(work, channel.part)
        if taken.isdisjoint(columns) and work.source.values.held(*channel) is not None:
            taken.update(columns)
            yield channel, columns


def _of_work(
    work: LogWork, measured: tuple[Channel, list[int]], delay_s: float | None, turn_over_m: float
) -> MeasuredRecords | None:
    (channel, columns), values, kept = measured, work.source.values, work.track.kept
    held = values.delayed(*channel, delay_s)
    active = work.strips.active[:, columns].any(axis=1)
    if held is None or not active.any():
        return None
    place = np.flatnonzero(active)
    record, first = np.unique(kept[place], return_index=True)
    piece = np.flatnonzero(np.isin(work.pieces.strip, columns))
    area = np.abs(sweeps.areas(work.pieces.quads[piece]))
    owner = np.searchsorted(record, kept[work.pieces.interval[piece]])
    way, took = (_by_record(work, steps)[record] for steps in (lengths(np.diff(work.track.path, axis=0)), _times(work)))
    raw = np.where(held.known[record], held.value[record].astype(np.float64), np.nan)
    value = raw * float(entry(channel.ddi).resolution or 1)
    if channel.ddi in BY_TIME:
        ground = _summed(owner, area, len(record))
        value = np.divide(value * took, ground, out=np.full(len(record), np.nan), where=ground > 0.0)
    return MeasuredRecords(
        (work.source.log.file,) * len(record),
        record,
        work.source.records.time[record],
        _clock(work)[record],
        value,
        raw,
        _moisture(work, delay_s)[record],
        _frozen(work)[record] & (channel.ddi in HOLDABLE),
        np.divide(way, took, out=np.full(len(record), np.nan), where=took > 0.0),
        _turns(work, turn_over_m)[place[first]],
        work.pieces.quads[piece],
        area,
        owner,
    )


def _by_record(work: LogWork, steps: Floats) -> Floats:
    """Return the sums of what is known of each interval between places over the records before them."""
    return _summed(work.track.kept[:-1], steps, work.source.values.count)


def _summed(owner: Indices, values: Floats, count: int) -> Floats:
    """Return the sums of values over their owners."""
    return np.bincount(owner, values, minlength=count).astype(np.float64)


def _times(work: LogWork) -> Floats:
    seconds = work.track.seconds
    return np.full(max(len(work.track.kept) - 1, 0), np.nan) if seconds is None else np.diff(seconds)


def _clock(work: LogWork) -> Floats:
    seconds, stamps = work.source.values.seconds, work.source.records.time
    if seconds is None:
        return np.arange(work.source.values.count, dtype=np.float64)
    first = stamps[~np.isnat(stamps)][0].astype("datetime64[ms]").astype(np.int64) / 1000.0
    return np.asarray(seconds + first)


def _moisture(work: LogWork, delay_s: float | None) -> Floats:
    """Return the share of water at each record of a log."""
    values = work.source.values
    for key in values.parts([MOISTURE]):
        held = values.delayed(*key, delay_s)
        if held is not None:
            return np.where(held.known, held.value * _PPM, np.nan)
    return np.full(values.count, np.nan)


def _frozen(work: LogWork) -> Flags:
    """Return at which records the machine says that its yields are held (DDI 239)."""
    values = work.source.values
    found = np.zeros(values.count, dtype=np.bool_)
    for key in values.parts([HOLD_STATUS]):
        held = values.held(*key)
        if held is not None:
            found |= held.known & (held.value == HELD)
    return found


def _turns(work: LogWork, over_m: float) -> Floats:
    """Return by how many degrees the course changes over a stretch of path about each place."""
    track = work.track
    found = np.full(len(track.path), np.nan)
    starts = [*track.starts, len(track.path)]
    for begin, end in pairwise(starts):
        heading = np.radians(track.heading[begin:end])
        known = np.isfinite(heading)
        if not known.any():
            continue
        along = np.concatenate([[0.0], np.cumsum(lengths(np.diff(track.path[begin:end], axis=0)))])
        course = np.unwrap(heading[known])
        before, after = (np.interp(along + side * over_m / 2.0, along[known], course) for side in (-1.0, 1.0))
        found[begin:end] = np.degrees(np.abs(after - before))
    return found
