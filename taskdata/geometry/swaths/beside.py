"""Cells of sections side by side made one: what a whole bar swept from one place to the next."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.paths import lengths
from taskdata.geometry.swaths.cells import Cells, Indices
from taskdata.geometry.swaths.links import TOUCH_M, Chain, chains
from taskdata.geometry.swaths.readings import WIDEST_M

WIDEST_SECTION_M = 6.0
"""Wider cells side by side are passes where nothing tells the time of each (common practice)."""


def whole_bars(cells: Cells, time: Floats | None) -> Cells:
    """Return cells of which those side by side at one time are one.

    Parameters
    ----------
    cells : Cells
        One reading of each.
    time : ndarray or None
        (n,) when each was driven; cells side by side belong together at equal times. None = not known: then where none
        is wider than a section is, and all together are not wider than a bar.
    """
    groups = [_apart(chain, cells, time is not None) for chain in chains(_neighbours(cells, time))]
    parts = [part for group in groups for part in group]
    first = np.array([part.cells[0] for part in parts], dtype=np.intp)
    last = np.array([part.cells[-1] for part in parts], dtype=np.intp)
    ahead = np.array([part.back[0] for part in parts], dtype=np.bool_)
    behind = np.array([part.back[-1] for part in parts], dtype=np.bool_)
    left, right = cells.take(first).turned(ahead), cells.take(last).turned(behind)
    start = np.stack([left.start[:, 0], right.start[:, 1]], axis=1)
    end = np.stack([left.end[:, 0], right.end[:, 1]], axis=1)
    rows = np.array([cells.row[part.cells].min() for part in parts], dtype=np.intp)
    return Cells.of(start, end, rows, cells.cell[first])


def _apart(chain: Chain, cells: Cells, timed: bool) -> list[Chain]:
    """Return a chain of cells side by side as one, or each alone where together they are no bar."""
    width = cells.width[chain.cells]
    if float(width.sum()) <= WIDEST_M and (timed or float(width.max()) <= WIDEST_SECTION_M):
        return [chain]
    return [Chain(chain.cells[place : place + 1], chain.back[place : place + 1]) for place in range(len(chain.cells))]


def _neighbours(cells: Cells, time: Floats | None) -> Indices:
    """Return for each side of each cell the side of another that is the same line, (n, 2) as in `linked`."""
    edges = np.stack([cells.start, cells.end], axis=2).reshape(-1, 2, 2)
    middles = shapely.points(edges.mean(axis=1))
    one, other = shapely.STRtree(middles).query(middles, predicate="dwithin", distance=TOUCH_M)
    good = (one < other) & (cells.cell[one // 2] != cells.cell[other // 2])
    one, other = one[good], other[good]
    good = _same(edges[one], edges[other]) & _outside(cells, one, other)
    if time is not None:
        good &= time[one // 2] == time[other // 2]
    partner = np.full(len(edges), -1, dtype=np.intp)
    for side, against in zip(one[good].tolist(), other[good].tolist(), strict=True):
        if partner[side] < 0 and partner[against] < 0:
            partner[side], partner[against] = against, side
    return partner.reshape(-1, 2)


def _same(first: Points, second: Points) -> NDArray[np.bool_]:
    straight = [lengths(first[:, end] - second[:, end]) for end in (0, 1)]
    crossed = [lengths(first[:, end] - second[:, 1 - end]) for end in (0, 1)]
    return np.asarray(np.minimum(np.maximum(*straight), np.maximum(*crossed)) <= TOUCH_M)


def _outside(cells: Cells, one: Indices, other: Indices) -> NDArray[np.bool_]:
    """Tell whether cells lie on different sides of their common line."""
    middle = (cells.start.mean(axis=1) + cells.end.mean(axis=1)) / 2.0
    edges = np.stack([cells.start, cells.end], axis=2).mean(axis=2).reshape(-1, 2)
    return np.asarray(((middle[one // 2] - edges[one]) * (middle[other // 2] - edges[other])).sum(axis=1) < 0.0)
