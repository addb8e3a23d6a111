"""What was applied in each cell: for each quantity the sum of all sweeps, times worked, and target."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from taskdata.exchange.rasters import SWEPT, RasterView
from taskdata.formats.rasters.bands import Band, BandTile
from taskdata.geometry.arrays import Floats
from taskdata.geometry.cells import CellGrid, TileSums, cell_sums
from taskdata.quantities.by_area import farm_rate
from taskdata.quantities.dictionary import entry
from taskdata.results.applied import AppliedQuantity

APPLIED_CELL_M = 5.0
"""Side of a cell where none is given."""


def applied_view(applied: Sequence[AppliedQuantity], products: Mapping[str, str]) -> RasterView:
    """Return what was applied; ``products`` are names by identifier."""
    return RasterView(
        np.concatenate([item.quads for item in applied]),
        [band for item in applied for band in _bands(item, products)],
        lambda grid, totals: _tiles(applied, grid, totals),
    )


def _bands(item: AppliedQuantity, products: Mapping[str, str]) -> Iterator[Band]:
    """Yield the bands of a quantity; of ground without a rate how often it was swept."""
    if item.ddi is None:
        yield Band("times worked", "1")
        return
    name, shown = entry(item.ddi).plain_name, farm_rate(item.ddi)
    tags = {"quantity": name, "ddi": str(item.ddi), "part": " ".join(item.parts)}
    if item.product:
        tags |= {"product": item.product, "product_name": products.get(item.product, "")}
    behind = f", {products.get(item.product) or item.product}" if item.product else ""
    yield Band(f"applied: {name}{behind}", shown.unit, tags | {"amount_unit": shown.product_unit})
    yield Band(f"times worked: {name}{behind}", "1", tags)
    yield Band(f"target: {name}{behind}", shown.unit, tags)


def _tiles(applied: Sequence[AppliedQuantity], grid: CellGrid, totals: Floats) -> Iterator[BandTile]:
    """Yield the bands of each quantity, and add up in ``totals`` what was applied in all."""
    first = 0
    for item in applied:
        aimed = np.isfinite(item.target)
        weights = np.stack([np.ones(len(aimed)), item.rate, aimed, np.where(aimed, item.target, 0.0)])
        for tile in cell_sums(item.quads, weights if item.ddi is not None else weights[:1], grid):
            values = _values(item, tile, grid.cell**2)
            if item.ddi is not None:
                totals[first] += farm_rate(item.ddi).product(float(tile.sums[1].sum()))
            yield BandTile(first, tile.row, tile.column, values)
        first += 1 if item.ddi is None else 3


def _values(item: AppliedQuantity, tile: TileSums, cell_m2: float) -> Floats:
    swept = tile.sums[0]
    nothing = swept < SWEPT * cell_m2
    times = np.where(nothing, np.nan, swept / cell_m2)
    if item.ddi is None:
        return times[np.newaxis]
    factor = farm_rate(item.ddi).rate(1.0)
    applied = np.where(nothing, np.nan, factor * tile.sums[1] / cell_m2)
    with np.errstate(divide="ignore", invalid="ignore"):
        target = np.where(tile.sums[2] < SWEPT * cell_m2, np.nan, factor * tile.sums[3] / tile.sums[2])
    return np.stack([applied, times, target])
