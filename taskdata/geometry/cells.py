"""Sums over the cells of a grid: each quadrilateral clipped to each cell exactly, its area times its weight.

The outlines are cut at the lines of the grid. A piece of an edge that rises by h adds h to the area of every cell to
its right in its row, and to its own cell the part of it that lies to its right (Green's theorem); a running sum along
the row gives the area in each cell. Nothing is sampled: over the whole grid the sums are those of the quadrilaterals
within rounding of doubles, and what two neighbours share cancels. Memory is bounded by tiles.
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
from taskdata.geometry.raster import tiles_of
from taskdata.geometry.sweeps import Quads

TILE = 512
"""Cells along each side of a tile."""

_BATCH = 1_000_000


@dataclass(frozen=True, slots=True)
class CellGrid:
    """Square cells in rows from the north, columns from the west.

    Parameters
    ----------
    west, north : float
        Metres in the plane, multiples of the cell.
    cell : float
        Side of a cell, metres.
    columns, rows : int
    """

    west: float
    north: float
    cell: float
    columns: int
    rows: int

    @classmethod
    def over(cls, quads: Quads, cell: float) -> CellGrid:
        """Return the grid that just holds (m, 4, 2) quadrilaterals, one at least, aligned with the origin."""
        corners = quads.reshape(-1, 2)
        west, south = (math.floor(float(side) / cell) for side in corners.min(axis=0))
        east, north = (math.ceil(float(side) / cell) for side in corners.max(axis=0))
        return cls(west * cell, north * cell, cell, max(1, east - west), max(1, north - south))

    def places(self, points: Points) -> Points:
        """Return (n, 2) points in columns from the west and rows from the north."""
        return np.column_stack([points[:, 0] - self.west, self.north - points[:, 1]]) / self.cell


class TileSums(NamedTuple):
    """The sums of a tile: its first row and column, and (k, rows, columns) weights times m²."""

    row: int
    column: int
    sums: Floats


class _RowPieces(NamedTuple):
    """Pieces of edges, each within one row: row, x at its ends, signed height, and the quadrilateral it is of."""

    row: NDArray[np.int64]
    begin: Floats
    end: Floats
    height: Floats
    owner: NDArray[np.intp]


def cell_sums(quads: Quads, weights: Floats, grid: CellGrid) -> Iterator[TileSums]:
    """Yield the sums over the cells of a grid, tile by tile; tiles that nothing lies in are left out.

    Parameters
    ----------
    quads : ndarray
        (m, 4, 2) metres, counter-clockwise and simple; those that reach beyond the grid are cut there.
    weights : ndarray
        (k, m) finite.
    """
    flat = grid.places(quads.reshape(-1, 2)).reshape(-1, 4, 2)
    for column, row, members in tiles_of(flat, TILE):
        if not (0 <= column < grid.columns and 0 <= row < grid.rows):
            continue
        shape = min(TILE, grid.rows - row), min(TILE, grid.columns - column)
        sums = np.zeros((len(weights), shape[0] * (shape[1] + 2)))
        for batch in _batches(flat[members]):
            chosen = members[batch]
            _add(sums, flat[chosen] - np.array([column, row]), weights[:, chosen], shape)
        running = np.cumsum(sums.reshape(len(weights), shape[0], -1), axis=2)[:, :, : shape[1]]
        yield TileSums(row, column, running * grid.cell**2)


def _batches(quads: Quads) -> Iterator[NDArray[np.intp]]:
    """Yield quadrilaterals, so many that their edges make about a million pieces."""
    steps = np.minimum(np.abs(np.roll(quads, -1, axis=1) - quads), TILE)
    work = np.cumsum(steps.sum(axis=(1, 2)) + 8.0)
    yield from np.split(np.arange(len(quads)), np.searchsorted(work, np.arange(_BATCH, work[-1], _BATCH)))


def _add(sums: Floats, quads: Quads, weights: Floats, shape: tuple[int, int]) -> None:
    """Add the edges of quadrilaterals to the changes from cell to cell; rows have two places more than columns."""
    rows, columns = shape
    pieces = _by_rows(quads, rows)
    low, high = np.minimum(pieces.begin, pieces.end), np.maximum(pieces.begin, pieces.end)
    first, last = (np.floor(np.clip(side, -1.0, columns)).astype(np.int64) for side in (low, high))
    counts = last - first + 1
    owner = np.repeat(np.arange(len(first)), counts)
    column = first[owner] + np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)
    inside = column < columns
    owner, column = owner[inside], column[inside]
    begin = np.where(column < 0, low[owner], np.maximum(low[owner], column))
    end = np.minimum(high[owner], column + 1.0)
    span = (high - low)[owner]
    share = np.divide(end - begin, span, out=np.ones(len(owner)), where=span > 0.0)
    height = pieces.height[owner] * share
    left = column < 0
    column = np.maximum(column, 0)
    beyond = np.where(left, 0.0, (begin + end) / 2.0 - column)
    place = pieces.row[owner] * (columns + 2) + column
    for number, weight in enumerate(weights):
        part = weight[pieces.owner[owner]] * height
        sums[number] += np.bincount(place, part * (1.0 - beyond), minlength=sums.shape[1])
        sums[number] += np.bincount(place + 1, part * beyond, minlength=sums.shape[1])


def _by_rows(quads: Quads, rows: int) -> _RowPieces:
    """Return the edges of quadrilaterals cut at the rows 0 to ``rows``; level ones enclose nothing and are left out."""
    begin, end = quads.reshape(-1, 2), np.roll(quads, -1, axis=1).reshape(-1, 2)
    falling = end[:, 1] > begin[:, 1]
    low = np.where(falling[:, np.newaxis], begin, end)
    high = np.where(falling[:, np.newaxis], end, begin)
    top, bottom = np.maximum(low[:, 1], 0.0), np.minimum(high[:, 1], rows)
    met = np.flatnonzero(top < bottom)
    first = np.floor(top[met]).astype(np.int64)
    counts = np.ceil(bottom[met]).astype(np.int64) - first
    edge = np.repeat(met, counts)
    row = np.repeat(first, counts) + np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts)
    above, below = np.maximum(top[edge], row), np.minimum(bottom[edge], row + 1.0)
    slope = (high[edge, 0] - low[edge, 0]) / (high[edge, 1] - low[edge, 1])
    x = low[edge, 0] + (np.stack([above, below]) - low[edge, 1]) * slope
    height = np.where(falling[edge], below - above, above - below)
    return _RowPieces(row, x[0], x[1], height, edge // 4)


def outline_quads(shape: Any) -> Quads:
    """Return quadrilaterals that add up to a polygon or multi-polygon, (m, 4, 2), for `cell_sums` alone.

    Each spans an edge and a line in the west. They overlap and some run clockwise: what lies outside cancels.
    """
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(shapely.get_parts(shapely.normalize(shape)))]
    if not rings:
        return np.empty((0, 4, 2))
    west = min(float(ring[:, 0].min()) for ring in rings)
    begin, end = (np.concatenate([ring[side] for ring in rings]) for side in (slice(1, None), slice(None, -1)))
    corners = [begin, end, np.column_stack([np.full(len(end), west), end[:, 1]])]
    return np.stack([*corners, np.column_stack([np.full(len(begin), west), begin[:, 1]])], axis=1)
