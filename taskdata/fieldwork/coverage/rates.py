"""Rates by the ground they went on: means, targets, product, and product on ground that was worked before."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.fieldwork.applied.channels import Channel, channels, columns_of_rate, rate_pieces, target_of
from taskdata.fieldwork.sweeps.ground_cover import SweptGround
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.geometry.arrays import Floats, Points
from taskdata.quantities.dictionary import Entry, entry
from taskdata.results.figures import RateFigures

UNITS = {"mm³/m²": (80, 1e6), "mg/m²": (81, 1e6), "/m²": (82, 1.0), "ml/m²": (90, 1e3)}
"""Units of rates by area; the total (DDI) that counts the same, and how many units of product are in one of its."""

_FINE_TOTALS = {"mm³/m²": (351, 1e3), "mg/m²": (352, 1e3)}
_NEAR = 0.10
_SAMPLE = 20_000


@dataclass(frozen=True, eq=False)
class _Sample:
    """Pieces of ground with a rate: work, which of its pieces, areas, rates, setpoints (NaN where none)."""

    work: LogWork
    piece: NDArray[np.intp]
    area: Floats
    rate: Floats
    target: Floats


def rates(works: Sequence[LogWork], ground: SweptGround, worked_m2: float) -> tuple[RateFigures, ...]:
    """Return every actual rate that was logged, in the order of the logs."""
    found = (_figures(works, channel, ground, worked_m2) for channel in channels(works))
    return tuple(item for item in found if item is not None)


def _figures(works: Sequence[LogWork], channel: Channel, ground: SweptGround, worked_m2: float) -> RateFigures | None:
    item = entry(channel.ddi)
    samples = [sample for work in works if (sample := _sample(work, channel)) is not None]
    if not samples:
        return None
    area, rate, target = (
        np.concatenate([getattr(sample, name) for sample in samples]) for name in ("area", "rate", "target")
    )
    whole = all(len(columns_of_rate(work, channel.part)) == len(work.bar.parts) for work in works)
    total = float(area.sum())
    if total <= 0.0:
        return None
    applied = float((area * rate).sum())
    aimed = np.isfinite(target)
    aimed_area = float(area[aimed].sum())
    near = np.abs(rate[aimed] - target[aimed]) <= _NEAR * target[aimed]
    share = _double_mean(samples, area, rate, ground) if ground.cover.area(2) > 0.0 else 0.0
    again = max(0.0, ground.cover.applied - ground.cover.area(1))
    covered = min(1.0, total / ground.cover.applied) if ground.cover.applied else 1.0
    return RateFigures(
        channel.ddi,
        channel.part,
        target_of(channel.ddi) if aimed_area else None,
        item.unit or "",
        total,
        applied / total,
        float(rate.min()),
        float(rate.max()),
        float((area[aimed] * target[aimed]).sum()) / aimed_area if aimed_area else None,
        float(area[aimed][near].sum()) / aimed_area if aimed_area else None,
        applied,
        applied / worked_m2 if worked_m2 > 0.0 and whole else None,
        share * again * covered,
        *_logged(works, channel, item),
    )


def _sample(work: LogWork, channel: Channel) -> _Sample | None:
    found = rate_pieces(work, channel)
    if found is None:
        return None
    known = np.isfinite(found.rate)
    return _Sample(work, found.piece[known], found.area[known], found.rate[known], found.target[known])


def _double_mean(samples: Sequence[_Sample], area: Floats, rate: Floats, ground: SweptGround) -> float:
    """Return the mean rate of the pieces whose middle was covered at least twice; of all where none is.

    Of many pieces an even sample is looked at.
    """
    even = slice(None, None, 1 + len(area) // _SAMPLE)
    area, rate = area[even], rate[even]
    twice = ground.on_double(_middles(samples, even.step))
    weight = float(area[twice].sum())
    chosen = twice if weight > 0.0 else np.ones(len(area), dtype=np.bool_)
    return float((area[chosen] * rate[chosen]).sum() / area[chosen].sum())


def _middles(samples: Sequence[_Sample], step: int) -> Points:
    """Return the middle of every so-manieth piece of samples that follow each other."""
    found, first = [], 0
    for sample in samples:
        found.append(sample.work.pieces.quads[sample.piece[first::step]].mean(axis=1))
        first = (first - len(sample.piece)) % step
    return np.concatenate(found)


def _logged(works: Sequence[LogWork], channel: Channel, item: Entry) -> tuple[float, int] | tuple[None, None]:
    """Return by how much the machine's own total grew over the logs, in the unit of product, and which total it is."""
    unit = item.unit or ""
    for ddi, size in (table[unit] for table in (_FINE_TOTALS, UNITS) if unit in table):
        grown = []
        for source in {id(work.source): work.source for work in works}.values():
            held = source.values.held(ddi, channel.part)
            if held is not None:
                known = held.value[held.known]
                grown.append(float(known[-1] - known[0]) * size)
        if grown and item.group == "rate":
            return sum(grown), ddi
    return None, None
