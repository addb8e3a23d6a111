"""How often ground is covered, by counting at the cells of a grid: for very large or flickering work, and as a check.

Every outline adds and takes away one where a row of the grid crosses it, and a running sum along the row gives the
count at the middle of each cell. Common edges of neighbours are computed from the same two points in the same order,
and so cancel exactly. Memory is bounded by tiles.

The grid is turned to lie at the angle arctan(0.618) to the main direction of the work, so that long straight edges do
not run along its rows, and the errors at the cells along them cancel.

Uncertainty: three times the root of c⁴ (v + 4), for cells of size c, where v is the larger of two numbers of cells.

- An edge of length l that runs w across the nearer axis of the grid errs by the variance (l c)² / 12 at most, over
  the w / c rows it crosses where those are more than one, since they are as good as independent. Summed over edges, in
  c⁴, times the share of their length that is the outline of the area asked for.
- An area narrower than a cell is met by chance: its variance is the number of cells met. For any area a quarter of the
  number of neighbouring cells that differ is taken, which is that number where cells lie alone.

The length of an outline is π c / 4 times the number of neighbouring cells that differ, after Cauchy and Crofton. The 4
stands for what falls between all cells.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.sweeps import Quads

TILE = 1024
"""Cells along each side of a tile."""

COVERAGE_FACTOR = 3.0
"""Standard deviations that an uncertainty stands for."""

_BATCH = 500_000
_UNSEEN = 4.0
_SLOPE = (math.sqrt(5.0) - 1.0) / 2.0

Runs = NDArray[np.int64]
"""(r, 4): row, first column, column after the last, and how often these cells are covered."""


@dataclass(frozen=True, slots=True)
class RasterCover:
    """Ground by how often it is covered, on a grid.

    Parameters
    ----------
    cell : float
        Side of a cell, metres.
    angle : float
        Radians by which the rows of the grid are turned counter-clockwise from east.
    areas : ndarray
        (k,) m² covered exactly 0, 1, 2, ... times; the first is always 0.
    uncertainties : ndarray
        (k,) m², of the area covered at least 0, 1, 2, ... times; the first says nothing.
    runs : ndarray or None
        The cells that are covered, where they were kept.
    """

    cell: float
    angle: float
    areas: Floats
    uncertainties: Floats
    runs: Runs | None

    def area(self, at_least: int) -> float:
        """Return the area in m² covered at least so many times."""
        return float(self.areas[at_least:].sum())

    def uncertainty(self, at_least: int) -> float:
        """Return the uncertainty of `area` in m²."""
        unseen = COVERAGE_FACTOR * self.cell**2 * math.sqrt(_UNSEEN)
        return float(self.uncertainties[at_least]) if at_least < len(self.uncertainties) else unseen

    @property
    def applied(self) -> float:
        """Sum of area times count, m²."""
        return float((self.areas * np.arange(len(self.areas))).sum())

    def geometry(self, at_least: int) -> Any:
        """Return the cells covered at least so many times as a polygon or multi-polygon, valid.

        Raises
        ------
        ValueError
            When the cells were not kept.
        """
        if self.runs is None:
            raise ValueError("the cells were not kept: count with keep=True")
        row, first, end, _ = self.runs[self.runs[:, 3] >= at_least].T
        merged = shapely.union_all(shapely.box(first, row, end, row + 1))
        turned = shapely.transform(merged, lambda points: _turned(points * self.cell, self.angle))
        return shapely.make_valid(turned, method="structure", keep_collapsed=False)


class _Edges(NamedTuple):
    """Edges from their lower to their upper end in cells, and what crossing them from the left adds."""

    low: Points
    high: Points
    weight: Floats


class Samples(NamedTuple):
    """Middles of cells, (n, 2) metres, and the sums of the weights of what covers each, (k, n)."""

    points: Points
    sums: Floats


def count(quads: Quads, cell: float = 0.25, *, keep: bool = False) -> RasterCover:
    """Count how often ground is covered.

    Parameters
    ----------
    quads : ndarray
        (m, 4, 2) metres, counter-clockwise and simple, as `taskdata.geometry.sweeps.pieces` gives them.
    cell : float
        Side of a cell, metres.
    keep : bool
        Keep the cells, for `RasterCover.geometry`; memory then grows with the number of rows crossed.

    Returns
    -------
    RasterCover

    Raises
    ------
    ValueError
        When the cell has no size.
    """
    if not (math.isfinite(cell) and cell > 0.0):
        raise ValueError(f"a cell cannot have the size {cell}")
    angle = _grid_angle(quads)
    turned = _turned(quads.reshape(-1, 2), -angle).reshape(-1, 4, 2) / cell
    areas, changes, kept = np.zeros(2), np.zeros(2), []
    for column, row, members in tiles_of(turned, TILE):
        counts = _counts(_edges(turned[members]), column, row)
        areas = _added(areas, np.bincount(counts.ravel()))
        for one, other in ((counts[:, 1:], counts[:, :-1]), (counts[1:], counts[:-1])):
            changes = _added(changes, _levels(one, other))
        if keep:
            kept.append(_runs(counts, column, row))
    areas[0] = 0.0
    return RasterCover(
        cell,
        angle,
        areas * cell**2,
        _uncertainties(turned, changes[: len(areas)], cell),
        (np.concatenate(kept) if kept else np.empty((0, 4), dtype=np.int64)) if keep else None,
    )


def samples(quads: Quads, weights: Floats, cell: float) -> Iterator[Samples]:
    """Yield the middles of the cells that something covers, tile by tile, with the sums of its weights.

    Parameters
    ----------
    quads : ndarray
        (m, 4, 2) as for `count`.
    weights : ndarray
        (k, m).
    """
    angle = _grid_angle(quads)
    turned = _turned(quads.reshape(-1, 2), -angle).reshape(-1, 4, 2) / cell
    for column, row, members in tiles_of(turned, TILE):
        edges = _edges(turned[members])
        lines, places = np.nonzero(_counts(edges, column, row))
        middles = np.column_stack([places + (column + 0.5), lines + (row + 0.5)]) * cell
        sums = [_sums(edges, edges.weight * np.repeat(weight[members], 4), column, row) for weight in weights]
        yield Samples(_turned(middles, angle), np.array([found[lines, places] for found in sums]))


def _turned(points: Points, angle: float) -> Points:
    sine, cosine = math.sin(angle), math.cos(angle)
    x, y = points[:, 0], points[:, 1]
    return np.column_stack([x * cosine - y * sine, x * sine + y * cosine])


def _grid_angle(quads: Quads) -> float:
    """Return the angle of the grid: the main direction of the edges, modulo a quarter turn, and arctan(0.618) more."""
    steps = (np.roll(quads, -1, axis=1) - quads).reshape(-1, 2)
    size, angle = np.hypot(steps[:, 0], steps[:, 1]), np.arctan2(steps[:, 1], steps[:, 0])
    main = math.atan2(float((size * np.sin(4.0 * angle)).sum()), float((size * np.cos(4.0 * angle)).sum())) / 4.0
    return main + math.atan(_SLOPE)


def tiles_of(quads: Quads, side: int) -> Iterator[tuple[int, int, NDArray[np.intp]]]:
    """Yield the first column and row of each tile of so many cells a side that something may lie in, and what may."""
    if len(quads) == 0:
        return
    low = np.floor(quads.min(axis=1) / side).astype(np.int64)
    spans = np.floor(quads.max(axis=1) / side).astype(np.int64) - low + 1
    counts = spans.prod(axis=1)
    owner = np.repeat(np.arange(len(quads)), counts)
    place = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
    tile_x, tile_y = low[owner, 0] + place % spans[owner, 0], low[owner, 1] + place // spans[owner, 0]
    order = np.lexsort((tile_x, tile_y))
    tile_x, tile_y, owner = tile_x[order], tile_y[order], owner[order]
    starts = np.flatnonzero(np.concatenate([[True], (np.diff(tile_x) != 0) | (np.diff(tile_y) != 0)]))
    for start, members in zip(starts, np.split(owner, starts[1:]), strict=True):
        yield int(tile_x[start]) * side, int(tile_y[start]) * side, members


def _edges(quads: Quads) -> _Edges:
    begin, end = quads.reshape(-1, 2), np.roll(quads, -1, axis=1).reshape(-1, 2)
    rising = end[:, 1] > begin[:, 1]
    low = np.where(rising[:, np.newaxis], begin, end)
    high = np.where(rising[:, np.newaxis], end, begin)
    return _Edges(low, high, np.where(rising, -1.0, 1.0))


def _counts(edges: _Edges, column: int, row: int) -> NDArray[np.int64]:
    """Return the counts at the middles of the cells of a tile, (TILE, TILE)."""
    return np.rint(_sums(edges, edges.weight, column, row)).astype(np.int64)


def _sums(edges: _Edges, weights: Floats, column: int, row: int) -> Floats:
    """Return the sums at the middles of the cells of a tile, (TILE, TILE), of what crossing each edge adds."""
    first = np.clip(np.ceil(edges.low[:, 1] - row - 0.5), 0, TILE).astype(np.int64)
    after = np.clip(np.ceil(edges.high[:, 1] - row - 0.5), 0, TILE).astype(np.int64)
    crossed = after - first
    changes = np.zeros(TILE * (TILE + 1))
    for batch in np.array_split(np.arange(len(crossed)), max(1, int(crossed.sum()) // _BATCH)):
        owner = np.repeat(batch, crossed[batch])
        place = np.arange(len(owner)) - np.repeat(np.cumsum(crossed[batch]) - crossed[batch], crossed[batch])
        line = first[owner] + place
        (low_x, low_y), (high_x, high_y) = edges.low[owner].T, edges.high[owner].T
        x = low_x + (line + (row + 0.5) - low_y) * ((high_x - low_x) / (high_y - low_y))
        place_x = np.clip(np.ceil(x - column - 0.5), 0, TILE).astype(np.int64)
        changes += np.bincount(line * (TILE + 1) + place_x, weights=weights[owner], minlength=len(changes))
    return np.cumsum(changes.reshape(TILE, TILE + 1), axis=1)[:, :TILE]


def _levels(one: NDArray[np.int64], other: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return for each level how many of the neighbours given lie on different sides of it."""
    differ = one != other
    low, high = np.minimum(one, other)[differ], np.maximum(one, other)[differ]
    size = int(high.max(initial=0)) + 2
    return np.cumsum(np.bincount(low + 1, minlength=size) - np.bincount(high + 1, minlength=size))


def _added(total: Floats, more: NDArray[np.int64]) -> Floats:
    result = np.zeros(max(len(total), len(more)))
    result[: len(total)] = total
    result[: len(more)] += more
    return result


def _runs(counts: NDArray[np.int64], column: int, row: int) -> Runs:
    edge = np.full((len(counts), 1), -1)
    rows, ends = np.nonzero(np.diff(np.hstack([edge, counts, edge]), axis=1))
    same = rows[1:] == rows[:-1]
    line, first, end = rows[:-1][same], ends[:-1][same], ends[1:][same]
    runs = np.column_stack([line + row, first + column, end + column, counts[line, first]])
    return np.asarray(runs[runs[:, 3] > 0])


def _uncertainties(quads: Quads, changes: Floats, cell: float) -> Floats:
    """Return the uncertainty of each level in m²; ``quads`` in cells."""
    steps = np.abs(np.roll(quads, -1, axis=1) - quads).reshape(-1, 2)
    size = np.hypot(steps[:, 0], steps[:, 1])
    total = float(size.sum())
    variance = float((size**2 / 12.0 / np.maximum(1.0, steps.min(axis=1))).sum())
    share = np.minimum(1.0, math.pi / 4.0 * changes / total) if total else np.zeros(len(changes))
    cells = np.maximum(variance * share, changes / 4.0) + _UNSEEN
    return np.asarray(COVERAGE_FACTOR * cell**2 * np.sqrt(cells))
