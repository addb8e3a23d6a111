"""What it does to areas that the edges of the worked ground lie a little to one side or the other.

Along the outer edges of what worked at once, places are taken at equal distances. Across each edge the ground is looked
at in steps of half a standard deviation: whether others covered it, and whether it is of the field. So much is gained
and lost where the edge lies elsewhere:

- random: a pass lies to one side as a whole, with both of its edges, and a log with all of its passes;
- lasting: where two edges meet, or an edge meets that of the field, an error to either side makes gaps, doubled and
  outside ground that a true place would not have, or hides those that are there. Gaps and doubled strips that are no
  wider than the error may not be there at all.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.fieldwork.logs.logged_values import Flags
from taskdata.fieldwork.sweeps.ground_cover import SweptGround
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.fieldwork.uncertainty.edge_doubts import across_m, position_m
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.paths import lengths

KINDS = ("worked", "double", "missed", "outside")
_PLACES = 1200
_STEPS, _STEP = 6, 0.5
"""How many places are looked at to either side of an edge, and standard deviations between them."""

_WEIGHTS = np.array([0.1747, 0.1210, 0.0656, 0.0278, 0.0092, 0.0030])
"""Of a normal error, the share that is nearest to 0.5, 1, ... 3 standard deviations, to one side."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """By how much an area may be too large (lower) or too small (higher) for good, and a standard deviation, m²."""

    lower: float = 0.0
    higher: float = 0.0
    random: float = 0.0


@dataclass(frozen=True, eq=False)
class _Samples:
    """Places on edges: (m, 2) metres, unit vectors away from the bar, the length each stands for, its error, its pass.

    ``side`` is +1 on the right edge, -1 on the left.
    """

    place: Points
    away: Points
    length: Floats
    error: Floats
    run: NDArray[np.intp]
    side: Floats

    def take(self, chosen: NDArray[Any]) -> _Samples:
        return _Samples(*(getattr(self, item.name)[chosen] for item in fields(self)))


@dataclass(frozen=True, eq=False)
class _Across:
    """What lies across each edge, (m, k) from the edge on: covered by others, and of the field; outward and inward."""

    covered_out: Flags
    covered_in: Flags
    field_out: Flags
    field_in: Flags

    def gained(self, kind: str) -> tuple[Floats, Floats]:
        """Return what a kind gains by each step of the edge outward, and loses by each inward, 1 for all of it."""
        out = _gained(kind, self.covered_out, self.field_out)
        return out, _gained(kind, self.covered_in, self.field_in)

    def thin(self, kind: str) -> Floats:
        """Return (m,) how many steps wide a strip of a kind is that ends within them, 0 where none does.

        One between two passes is met from both of its sides and counts half on each.
        """
        if kind in {"double", "worked"}:
            strip, ended = self.covered_in, ~self.covered_in[:, -1]
            return np.asarray(strip.sum(axis=1) * (strip[:, 0] & ended) / 2.0)
        if kind == "outside":
            strip = ~self.covered_in & ~self.field_in
            return np.asarray(strip.sum(axis=1) * (strip[:, 0] & ~strip[:, -1]))
        strip = ~self.covered_out & self.field_out
        part = np.where(self.field_out[:, -1], 0.5, 1.0)
        return np.asarray(strip.sum(axis=1) * (strip[:, 0] & ~strip[:, -1]) * part)


def _gained(kind: str, covered: Flags, of_field: Flags) -> Floats:
    """Return what a kind gains where ground is worked that others covered or not, 1, 0 or -1."""
    if kind == "double":
        return covered.astype(np.float64)
    if kind == "worked":
        return (~covered).astype(np.float64)
    if kind == "missed":
        return -(~covered & of_field).astype(np.float64)
    return (~covered & ~of_field).astype(np.float64)


def edge_doubts(ground: SweptGround) -> dict[str, Doubt]:
    """Return what the places of edges leave in doubt, by kind."""
    samples = _thinned([_edges(work) for work in ground.works])
    if len(samples.length) == 0:
        return dict.fromkeys(KINDS, Doubt())
    across = _look(samples, ground)
    common = float(np.median([position_m(work) for work in ground.works]))
    return {kind: _doubt(samples, across, kind, common) for kind in KINDS}


def _doubt(samples: _Samples, across: _Across, kind: str, common_m: float) -> Doubt:
    step = samples.length * samples.error * _STEP
    out, inward = (np.cumsum(side, axis=1) for side in across.gained(kind))
    lasting = float((step * ((out - inward) @ _WEIGHTS)).sum())
    off = (np.arange(_STEPS) + 1.0) * _STEP
    slope = (out + inward) @ (_WEIGHTS * off)
    passes = np.bincount(samples.run, samples.side * slope * step)
    together = (samples.away * (samples.length * slope)[:, np.newaxis]).sum(axis=0) * common_m * _STEP
    thin = float((step * across.thin(kind)).sum())
    lower, higher = max(-lasting, 0.0), max(lasting, 0.0)
    random = math.sqrt(float((passes**2).sum() + (together**2).sum()))
    return Doubt(lower, higher + thin, random) if kind == "worked" else Doubt(lower + thin, higher, random)


def _look(samples: _Samples, ground: SweptGround) -> _Across:
    """Look at the ground across each edge."""
    offset = ((np.arange(_STEPS) + 0.5) * _STEP)[np.newaxis, :, np.newaxis]
    reach = offset * (samples.error[:, np.newaxis] * samples.away)[:, np.newaxis, :]
    out, inward = samples.place[:, np.newaxis, :] + reach, samples.place[:, np.newaxis, :] - reach
    of_field = ground.on_field or (lambda places: np.ones(places.shape[:2], dtype=np.bool_))
    return _Across(ground.on_worked(out), ground.on_double(inward), of_field(out), of_field(inward))


def _edges(work: LogWork) -> _Samples:
    """Return the middles of the outer edges of what worked at once, in each interval."""
    active, strips = work.strips.active, work.strips
    none = np.zeros((len(active), 1), dtype=np.bool_)
    begins = np.nonzero(active & ~np.hstack([none, active[:, :-1]]))
    ends = np.nonzero(active & ~np.hstack([active[:, 1:], none]))
    interval = np.concatenate([begins[0], ends[0]])
    first = np.concatenate([strips.left[:-1][begins], strips.right[:-1][ends]])
    last = np.concatenate([strips.left[1:][begins], strips.right[1:][ends]])
    side = np.repeat([-1.0, 1.0], [len(begins[0]), len(ends[0])])
    angle = np.radians(work.heading[interval])
    away = side[:, np.newaxis] * np.column_stack([np.cos(angle), -np.sin(angle)])
    length = np.nan_to_num(lengths(last - first))
    return _Samples((first + last) / 2.0, away, length, across_m(work)[interval], _runs(work)[interval], side)


def _runs(work: LogWork) -> NDArray[np.intp]:
    """Return the number of the pass that each interval is of: a new one where work begins, or turns by a quarter."""
    working: Flags = np.asarray(work.strips.active.any(axis=1))
    turned = np.unwrap(np.radians(np.nan_to_num(work.heading[:-1])))
    quarter = np.floor(turned / (math.pi / 2.0) + 0.5)
    turns: Flags = np.diff(quarter) != 0.0
    fresh = (working[1:] & ~working[:-1]) | turns
    return np.concatenate([np.zeros(min(1, len(working)), dtype=np.intp), np.cumsum(fresh)])


def _thinned(parts: Sequence[_Samples]) -> _Samples:
    """Return places at equal distances along all edges, each standing for the same length; passes of parts apart."""
    before = np.cumsum([0, *(int(part.run.max(initial=-1)) + 1 for part in parts)])
    columns = [np.concatenate([getattr(part, item.name) for part in parts]) for item in fields(_Samples)]
    samples = _Samples(*columns)
    samples = replace(samples, run=samples.run + np.repeat(before[:-1], [len(part.run) for part in parts]))
    samples = samples.take((samples.length > 0.0) & np.isfinite(samples.place).all(axis=1))
    if len(samples.length) <= _PLACES:
        return samples
    along = np.cumsum(samples.length)
    each = along[-1] / _PLACES
    found = samples.take(np.searchsorted(along, (np.arange(_PLACES) + 0.5) * each))
    return replace(found, length=np.full(_PLACES, each))
