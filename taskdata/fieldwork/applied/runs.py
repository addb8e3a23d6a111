"""The ground of each section as runs of the same work.

A run is what one section swept from record to record without a break while it worked, its setpoint stayed the same and
its rate stayed within `SAME_RATE` of the run's first. Its rate is the mean over its ground, so that rate times area,
summed over runs, is the product of the log to the last digit. Ground that a run swept twice counts twice in its area,
and once in its polygon.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.fieldwork.applied.channels import Channel, RatePieces, channels, rate_pieces
from taskdata.fieldwork.applied.products import product_of
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.geometry import sweeps
from taskdata.geometry.arrays import Floats
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.stretches import on_map, stretches, united
from taskdata.model.tasks import Task
from taskdata.results.applied import SectionRuns

SAME_RATE = 0.02
"""Rates within 2 % of each other are one run: steadier than sprayers and spreaders hold theirs (common practice)."""

_SAME_AREA = 1e-6

Indices = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class _Sorted:
    """Pieces by strip and interval, and where each run of them starts."""

    order: Indices
    first: Indices

    def total(self, values: Floats) -> Floats:
        """Return the sums over the runs of a number for each piece."""
        return np.add.reduceat(values[self.order], self.first)


def section_runs(works: Sequence[tuple[LogWork, Task | None]], plane: LocalPlane) -> Iterator[SectionRuns]:
    """Yield the runs of each work of a task and each rate; of a part without a rate those of the work alone."""
    found = channels(work for work, _ in works)
    for work, task in works:
        rated = np.zeros(len(work.pieces.quads), dtype=np.bool_)
        for channel in found:
            pieces = rate_pieces(work, channel)
            if pieces is not None and len(pieces.piece):
                rated[pieces.piece] = True
                product = product_of(task, work, channel)
                yield replace(_runs(work, channel, pieces, plane), product=product)
        rest = np.flatnonzero(~rated)
        if len(rest):
            unknown = np.full(len(rest), np.nan)
            area = np.abs(sweeps.areas(work.pieces.quads[rest]))
            yield _runs(work, None, RatePieces(rest, area, unknown, unknown), plane)


def _runs(work: LogWork, channel: Channel | None, pieces: RatePieces, plane: LocalPlane) -> SectionRuns:
    strip, interval = work.pieces.strip[pieces.piece], work.pieces.interval[pieces.piece]
    found = _grouped(work, strip, interval, pieces)
    ends = np.append(found.first[1:], len(found.order)) - 1
    begin, last = interval[found.order[found.first]], interval[found.order[ends]]
    area = found.total(pieces.area)
    weighted = found.total(pieces.area * pieces.rate)
    return SectionRuns(
        work.name,
        work.source.log.file,
        None if channel is None else channel.ddi,
        None if channel is None else channel.part,
        tuple(None if part is None else (part.id, part.name) for part in work.bar.parts),
        strip[found.order[found.first]],
        weighted / area,
        pieces.target[found.order[found.first]],
        work.source.records.time[work.track.kept[begin]],
        work.source.records.time[_next_record(work)[last]],
        area,
        _ground(work, found, pieces, (begin, last), plane),
    )


def _grouped(work: LogWork, strip: Indices, interval: Indices, pieces: RatePieces) -> _Sorted:
    """Return pieces by runs; a fold has several pieces in one interval, and a stand none in some."""
    order = np.lexsort((interval, strip))
    strip, interval = strip[order], interval[order]
    rests = np.cumsum(~work.strips.active, axis=0)[interval, strip]
    rate, target = pieces.rate[order], pieces.target[order]
    breaks = np.ones(len(order), dtype=np.bool_)
    breaks[1:] = (
        (strip[1:] != strip[:-1])
        | (rests[1:] != rests[:-1])
        | ((target[1:] != target[:-1]) & ~(np.isnan(target[1:]) & np.isnan(target[:-1])))
    )
    return _Sorted(order, _parted(np.flatnonzero(breaks), rate))


def _parted(starts: Indices, rate: Floats) -> Indices:
    """Return where runs start: at the given places, and where a rate leaves that of the first of its run."""
    changes = np.flatnonzero((rate[1:] != rate[:-1]) & ~(np.isnan(rate[1:]) & np.isnan(rate[:-1]))) + 1
    fixed = set(starts.tolist())
    found, first = [], 0.0
    for place in sorted(fixed.union(changes.tolist())):
        value = float(rate[place])
        same = abs(value - first) <= SAME_RATE * abs(first) or (np.isnan(value) and np.isnan(first))
        if place in fixed or not same:
            found.append(place)
            first = value
    return np.array(found, dtype=np.intp)


def _next_record(work: LogWork) -> Indices:
    """Return (m,) the record with a position after that of each place; the last has none after it."""
    kept = work.track.kept
    later = np.searchsorted(kept, kept, side="right")
    return np.asarray(kept[np.minimum(later, len(kept) - 1)])


def _ground(
    work: LogWork, found: _Sorted, pieces: RatePieces, spans: tuple[Indices, Indices], plane: LocalPlane
) -> NDArray[Any]:
    """Return the polygon of each run in degrees: round its edges, or all its pieces where those cross."""
    strip = work.pieces.strip[pieces.piece][found.order[found.first]]
    shapes = stretches(work.strips, strip, *spans)
    whole = found.total(pieces.area)
    fits = shapely.is_valid(shapes) & (np.abs(shapely.area(shapes) - whole) <= _SAME_AREA * whole)
    ends = np.append(found.first[1:], len(found.order))
    for run in np.flatnonzero(~fits).tolist():
        chosen = pieces.piece[found.order[found.first[run] : ends[run]]]
        shapes[run] = united(work.pieces.quads[chosen])
    return on_map(shapes, plane)
