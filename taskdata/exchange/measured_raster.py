"""What was measured in each cell: the mean of the records that were kept, by ground, and how many there were."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.exchange.rasters import SWEPT, RasterView
from taskdata.formats.rasters.bands import Band, BandTile
from taskdata.geometry.arrays import Floats
from taskdata.geometry.cells import CellGrid, TileSums, cell_sums
from taskdata.quantities.dictionary import entry
from taskdata.quantities.units import conversion
from taskdata.results.measured import MeasuredQuantity


def measured_view(found: MeasuredQuantity) -> RasterView:
    """Return a measured quantity: its mean, at the standard moisture if there is one, and the number of records."""
    known = conversion(found.shown_ddi, "metric")
    name = entry(found.shown_ddi).plain_name
    unit = entry(found.shown_ddi).unit or "" if known is None else known.unit
    at = "" if found.standard_moisture is None else f" at {100.0 * found.standard_moisture:g} % moisture"
    tags = {"quantity": name, "ddi": str(found.ddi), "part": " ".join(found.parts)}
    tags |= {f"left_out_{item.rule.replace(' ', '_')}": str(item.count) for item in found.left_out}
    bands = [Band(f"mean: {name}{at}", unit, tags), Band(f"records: {name}", "1", tags)]
    scale = (1.0, 0.0) if known is None else (float(known.factor), float(known.offset))
    return RasterView(found.quads, bands, lambda grid, _: _tiles(found, grid, scale))


def _tiles(found: MeasuredQuantity, grid: CellGrid, scale: tuple[float, float]) -> Iterator[BandTile]:
    weights = np.stack([np.ones(len(found.value)), found.value])
    place = np.floor(grid.places(found.middle)).astype(np.int64)
    for tile in cell_sums(found.quads, weights, grid):
        swept, sums = tile.sums
        nothing = swept < SWEPT * grid.cell**2
        with np.errstate(divide="ignore", invalid="ignore"):
            mean = np.where(nothing, np.nan, scale[0] * sums / swept + scale[1])
        counts = _counts(place, tile)
        yield BandTile(0, tile.row, tile.column, np.stack([mean, np.where(nothing, np.nan, counts)]))


def _counts(place: np.ndarray, tile: TileSums) -> Floats:
    """Return how many records have their middle in each cell of a tile."""
    rows, columns = tile.sums.shape[1:]
    column, row = place[:, 0] - tile.column, place[:, 1] - tile.row
    here = (column >= 0) & (column < columns) & (row >= 0) & (row < rows)
    found = np.bincount(row[here] * columns + column[here], minlength=rows * columns)
    return found.reshape(rows, columns).astype(np.float64)
