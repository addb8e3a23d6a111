"""Which cell goes on where another ends, and the chains that this makes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.paths import across_product, lengths
from taskdata.geometry.swaths.cells import Cells, Indices

_ONWARDS, _PARALLEL, _COMMON = -0.3, 0.7, 0.5
"""Cosine of the ways out of two cells that go on, of their bars, and the share of the shorter bar that both have."""

_ROUNDS, _OUT_OF_ORDER = 3, 0.05

TOUCH_M = 0.03
"""Metres within which corners of neighbours are the same; coordinates of seven decimals are off by up to 8 mm."""


@dataclass(frozen=True, eq=False)
class Chain:
    """Cells one after the other: their positions, (m,), and which are driven from their second place to the first."""

    cells: Indices
    back: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class _Pairs:
    """Ends of cells that may meet: numbers 2 c + e for end e of cell c, and how badly they fit."""

    one: Indices
    other: Indices
    score: Floats

    def take(self, chosen: NDArray[np.bool_]) -> _Pairs:
        return _Pairs(self.one[chosen], self.other[chosen], self.score[chosen])


def linked(cells: Cells, gap_m: float, order: Floats | None = None, *, same: bool = False) -> Indices:
    """Return for each end of each cell the end of another that goes on there, (n, 2); -1 where none does.

    Ends are numbered 2 c + e, e = 0 for the first place of cell c and 1 for the second. Two ends meet where both cells
    lead away from there, their bars lie along each other, at most ``gap_m`` apart, and share more than half of the
    shorter one.

    Parameters
    ----------
    order : ndarray, optional
        (n,) when each was driven, as its number among all; of several cells that may go on, one that is next in order
        does.
    same : bool
        Only where both bars are the same one.
    """
    pairs = _candidates(cells, gap_m, order, same=same)
    partner = np.full(2 * len(cells.row), -1, dtype=np.intp)
    for _ in range(_ROUNDS):
        chosen = _mutual(pairs, len(partner))
        if not chosen.any():
            break
        partner[pairs.one[chosen]], partner[pairs.other[chosen]] = pairs.other[chosen], pairs.one[chosen]
        pairs = pairs.take((partner[pairs.one] < 0) & (partner[pairs.other] < 0))
    return partner.reshape(-1, 2)


def _candidates(cells: Cells, gap_m: float, order: Floats | None, *, same: bool) -> _Pairs:
    bars = np.stack([cells.start, cells.end], axis=1).reshape(-1, 2, 2)
    lines = shapely.linestrings(bars)
    one, other = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=TOUCH_M if same else gap_m)
    apart = (one < other) & (cells.cell[one // 2] != cells.cell[other // 2])
    one, other = one[apart], other[apart]
    unit = cells.motion / np.maximum(cells.length, 1e-9)[:, np.newaxis]
    outward = np.stack([-unit, unit], axis=1).reshape(-1, 2)
    onwards = (outward[one] * outward[other]).sum(axis=1) < _ONWARDS
    one, other = one[onwards], other[onwards]
    along, common, longer, parallel = _fit(bars[one], bars[other])
    good = parallel & (along <= gap_m) & (common > _COMMON * np.minimum(*_widths(bars, one, other)))
    if same:
        good &= (along <= TOUCH_M) & (common >= longer - 2.0 * TOUCH_M)
    one, other = one[good], other[good]
    score = along[good] / max(gap_m, 1e-9) / 2.0 + 1.0 - common[good] / np.maximum(longer[good], 1e-9)
    pairs = _Pairs(one, other, score)
    if order is None:
        return pairs
    later = np.abs(order[one // 2] - order[other // 2])
    return replace(pairs, score=score + _OUT_OF_ORDER * (later > 1.0))


def _widths(bars: Points, one: Indices, other: Indices) -> tuple[Floats, Floats]:
    size = lengths(bars[:, 1] - bars[:, 0])
    return size[one], size[other]


def _fit(first: Points, second: Points) -> tuple[Floats, Floats, Floats, NDArray[np.bool_]]:
    """Return how far bars lie apart across them, how much they have in common, the longer, and if they are parallel."""
    across = [bar[:, 1] - bar[:, 0] for bar in (first, second)]
    size = [lengths(item) for item in across]
    unit = across[0] / np.maximum(size[0], 1e-9)[:, np.newaxis]
    cosine = np.abs((unit * across[1]).sum(axis=1)) / np.maximum(size[1], 1e-9)
    shift = second - first[:, :1]
    places = (shift * unit[:, np.newaxis]).sum(axis=2)
    common = np.minimum(places.max(axis=1), size[0]) - np.maximum(places.min(axis=1), 0.0)
    along = np.abs(across_product(unit, shift.mean(axis=1)))
    return along, common, np.maximum(*size), cosine > _PARALLEL


def _mutual(pairs: _Pairs, count: int) -> NDArray[np.bool_]:
    """Return which pairs are the best of both of their ends."""
    best = np.full(count, np.inf)
    np.minimum.at(best, pairs.one, pairs.score)
    np.minimum.at(best, pairs.other, pairs.score)
    good = np.flatnonzero((pairs.score == best[pairs.one]) & (pairs.score == best[pairs.other]))
    chosen = np.zeros(len(pairs.one), dtype=np.bool_)
    taken = np.zeros(count, dtype=np.bool_)
    for index in good.tolist():
        one, other = pairs.one[index], pairs.other[index]
        if not (taken[one] or taken[other]):
            taken[one] = taken[other] = chosen[index] = True
    return chosen


def chains(partner: Indices) -> list[Chain]:
    """Return the chains that linked cells make; one that closes begins at its first cell."""
    left = np.ones(len(partner), dtype=np.bool_)
    ends = partner.tolist()
    found = []
    for first in [*np.flatnonzero((partner < 0).any(axis=1)).tolist(), *range(len(partner))]:
        if not left[first]:
            continue
        entry = 0 if ends[first][0] < 0 or ends[first][1] >= 0 else 1
        cells, back = [], []
        cell: int = first
        while left[cell]:
            left[cell] = False
            cells.append(cell)
            back.append(entry == 1)
            onwards = ends[cell][1 - entry]
            if onwards < 0:
                break
            cell, entry = onwards // 2, onwards % 2
        found.append(Chain(np.array(cells, dtype=np.intp), np.array(back, dtype=np.bool_)))
    return found
