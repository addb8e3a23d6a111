"""What was applied as a GeoTIFF: for each quantity the sum of all sweeps, times worked, and target."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from taskdata.amounts import plain
from taskdata.errors import UsageError
from taskdata.exchange.targets import refuse_source
from taskdata.formats.rasters.geotiff import SUFFIXES, Band, BandTile, Frame, plane_name, write_geotiff
from taskdata.geometry.arrays import Floats
from taskdata.geometry.cells import CellGrid, TileSums, cell_sums
from taskdata.geometry.plane import LocalPlane
from taskdata.paths import target_path
from taskdata.quantities.by_area import farm_rate
from taskdata.quantities.dictionary import entry
from taskdata.results.applied import AppliedQuantity, RasterBand, WrittenRaster
from taskdata.results.coverage import Coverage
from taskdata.staging import staged

USUAL_CELL_M = 5.0
"""Side of a cell where none is given."""

MOST_CELLS = 400_000_000
CAUTION = "Computed from what the machine logged: compare the amounts with what was used, and obey the product label."
_SWEPT = 1e-6
"""Share of a cell that has to be swept for it to have a value: less is rounding."""


@dataclass(frozen=True, slots=True)
class RasterGoal:
    """Where a raster goes, and the side of its cells in metres."""

    place: Path
    cell_m: float


def raster_goal(named: str | os.PathLike[str], cell_m: float | None, source: str | None) -> RasterGoal:
    """Return where a raster goes.

    Raises
    ------
    UsageError
        The name is not that of a GeoTIFF.
    TargetError
        It lies on or in the source.
    """
    place = target_path(named)
    if place.suffix.lower() not in SUFFIXES:
        raise UsageError("is not the name of a GeoTIFF", where=named, remedy=f"End it in {' or '.join(SUFFIXES)}")
    if source is not None:
        refuse_source(place, Path(source))
    return RasterGoal(place, USUAL_CELL_M if cell_m is None else cell_m)


def write_applied(
    found: Sequence[Coverage], goal: RasterGoal, products: Mapping[str, str], *, overwrite: bool
) -> WrittenRaster:
    """Write what one task, or several that count as one, applied; ``products`` are names by identifier.

    Raises
    ------
    UsageError
        There is not one task with swept ground, or the cells are too many.
    TargetError
        The file may not or could not be written.
    """
    chosen, plane = _only(found)
    every = np.concatenate([item.quads for item in chosen.applied])
    grid = CellGrid.over(every, goal.cell_m)
    if grid.columns * grid.rows > MOST_CELLS:
        raise UsageError(
            f"the raster would have {grid.columns:,} x {grid.rows:,} cells",
            remedy=f"Give a larger [[cell_m]] than {plain(goal.cell_m)} m",
        )
    bands = [band for item in chosen.applied for band in _bands(item, products)]
    frame = Frame(grid, plane, {"task": chosen.task, "caution": CAUTION, "method": chosen.method})
    totals = np.zeros(len(bands))
    with staged(goal.place, overwrite=overwrite) as fresh:
        write_geotiff(fresh, frame, bands, _tiles(chosen.applied, grid, totals))
    told = tuple(_told(band, total) for band, total in zip(bands, totals.tolist(), strict=True))
    named = os.fspath(goal.place)
    return WrittenRaster(named, chosen.task, grid.cell, grid.columns, grid.rows, plane_name(plane), told)


def _only(found: Sequence[Coverage]) -> tuple[Coverage, LocalPlane]:
    """Return the only task with swept ground, and its plane."""
    swept = [(item, item.plane) for item in found if item.applied and item.plane is not None]
    if not swept:
        raise UsageError("no ground was swept, so there is nothing for a raster", remedy="Look at the warnings")
    if len(swept) > 1:
        listed = "; ".join(f"{item.task} ({' and '.join(item.devices) or item.name})" for item, _ in swept)
        raise UsageError(
            f"a raster shows one task, and there are {len(swept)}: {listed}",
            remedy="Choose one with [[task]] or [[device]], or join those of one operation with [[together]]",
        )
    return swept[0]


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
    nothing = swept < _SWEPT * cell_m2
    times = np.where(nothing, np.nan, swept / cell_m2)
    if item.ddi is None:
        return times[np.newaxis]
    factor = farm_rate(item.ddi).rate(1.0)
    applied = np.where(nothing, np.nan, factor * tile.sums[1] / cell_m2)
    with np.errstate(divide="ignore", invalid="ignore"):
        target = np.where(tile.sums[2] < _SWEPT * cell_m2, np.nan, factor * tile.sums[3] / tile.sums[2])
    return np.stack([applied, times, target])


def _told(band: Band, total: float) -> RasterBand:
    unit = band.tags.get("amount_unit")
    return RasterBand(band.description, band.unit, None if unit is None else total, unit)
