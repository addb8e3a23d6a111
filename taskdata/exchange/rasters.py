"""GeoTIFFs of what was applied or measured: where they go, and one task written to one file."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from importlib import import_module
from pathlib import Path

import numpy as np

from taskdata.amounts import plain
from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.exchange.targets import refuse_source
from taskdata.formats.rasters.bands import SUFFIXES, Band, BandTile, Frame, plane_name
from taskdata.geometry.arrays import Floats
from taskdata.geometry.cells import CellGrid
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.sweeps import Quads
from taskdata.paths import target_path
from taskdata.results.applied import RasterBand, WrittenRaster
from taskdata.results.coverage import Coverage
from taskdata.staging import regular_file, staged

_WRITER = "taskdata.formats.rasters.geotiff"
"""Loaded by name when a raster is written: the library behind it takes half a second."""

MOST_CELLS = 400_000_000
CAUTION = "Computed from what the machine logged: compare the amounts with what was used, and obey the product label."
SWEPT = 1e-6
"""Share of a cell that has to be swept for it to have a value: less is rounding."""


@dataclass(frozen=True, eq=False)
class RasterView:
    """What a raster shows of a task.

    Parameters
    ----------
    quads : ndarray
        (m, 4, 2) the ground that it has to hold, in the plane of the task.
    bands : list of Band
    tiles : callable
        Given a grid and an array with a number for each band, yields the tiles and adds up the totals of the bands.
    """

    quads: Quads
    bands: Sequence[Band]
    tiles: Callable[[CellGrid, Floats], Iterator[BandTile]]


@dataclass(frozen=True, slots=True)
class RasterGoal:
    """Where a raster goes, and the side of its cells in metres."""

    place: Path
    cell_m: float


def raster_goal(named: str | os.PathLike[str], cell_m: float, source: str | None) -> RasterGoal:
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
    return RasterGoal(place, cell_m)


def write_raster(
    shown: tuple[Coverage, LocalPlane], view: RasterView, goal: RasterGoal, *, overwrite: bool
) -> WrittenRaster:
    """Write a view of a task, which lies in a plane.

    Raises
    ------
    UsageError
        The cells are too many.
    TargetError
        The file may not or could not be written.
    """
    task, plane = shown
    grid = CellGrid.over(view.quads, goal.cell_m)
    if grid.columns * grid.rows > MOST_CELLS:
        raise UsageError(
            f"the raster would have {grid.columns:,} x {grid.rows:,} cells",
            remedy=f"Give a larger [[cell_m]] than {plain(goal.cell_m)} m",
        )
    frame = Frame(grid, plane, {"task": task.task, "caution": CAUTION, "method": task.method})
    totals = np.zeros(len(view.bands))
    with staged(goal.place, overwrite=overwrite, foreign=_foreign) as fresh:
        import_module(_WRITER).write_geotiff(fresh, frame, view.bands, view.tiles(grid, totals))
    told = tuple(_told(band, total) for band, total in zip(view.bands, totals.tolist(), strict=True))
    return WrittenRaster(os.fspath(goal.place), task.task, grid.cell, grid.columns, grid.rows, plane_name(plane), told)


def _foreign(place: Path, _: Path) -> Sequence[str]:
    """Return a file unless it is a raster that was written here."""
    return () if not regular_file(place, _) and import_module(_WRITER).is_own(place) else (place.name,)


def only_task(swept: Sequence[Coverage]) -> tuple[Coverage, LocalPlane]:
    """Return the only one of the tasks that have something to show, and its plane.

    Raises
    ------
    UsageError
        There is none, or there are several.
    """
    found = [(item, item.plane) for item in swept if item.plane is not None]
    if not found:
        raise UsageError("no ground was swept, so there is nothing for a raster", remedy="Look at the warnings")
    if len(found) > 1:
        listed = "; ".join(f"{item.task} ({' and '.join(item.devices) or item.name})" for item, _ in found)
        raise UsageError(
            f"a raster shows one task, and there are {len(found)}: {listed}",
            remedy="Choose one with [[task]] or [[device]], or join those of one operation with [[together]]",
        )
    return found[0]


def _told(band: Band, total: float) -> RasterBand:
    unit = band.tags.get("amount_unit")
    return RasterBand(band.description, band.unit, None if unit is None else total, unit)
