"""A rate map from a raster and from polygons, as ratio to the bare overlay of the same pixels and cells by shapely."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import rasterio
import shapely
from rasterio.transform import Affine

from taskdata import api
from tests.benchmarks.measure import alternating, show

SIDE, PIXEL_M, CELL_M, ROUNDS = 300, 5.0, 24.0, 3


def write_raster(path: Path, side: int) -> None:
    """Write pixels in eight rates, in UTM."""
    steps = np.arange(side) // (side // 10)
    rates = (100.0 + 20.0 * (np.add.outer(steps, 2 * steps) % 8)).astype(np.float32)
    place = Affine(PIXEL_M, 0.0, 400_000.0, 0.0, -PIXEL_M, 6_010_000.0)
    profile = {"driver": "GTiff", "height": side, "width": side, "count": 1, "dtype": "float32", "transform": place}
    with rasterio.open(path, "w", crs="EPSG:25832", **profile) as file:
        file.write(rates, 1)


def overlay(side: int) -> float:
    """Make the pixels and cells, turned by a degree, and find what each two of them share."""
    column, row = (item.ravel() for item in np.meshgrid(np.arange(side), np.arange(side)))
    pixels = shapely.box(column * PIXEL_M, row * PIXEL_M, (column + 1) * PIXEL_M, (row + 1) * PIXEL_M)
    count = int(side * PIXEL_M / CELL_M) + 1
    column, row = (item.ravel() for item in np.meshgrid(np.arange(count), np.arange(count)))
    cells = shapely.box(column * CELL_M, row * CELL_M, (column + 1) * CELL_M, (row + 1) * CELL_M)
    turned = shapely.transform(cells, lambda points: points @ np.array([[0.99985, 0.01745], [-0.01745, 0.99985]]))
    pixel, cell = shapely.STRtree(turned).query(pixels, predicate="intersects")[[0, 1]]
    return float(shapely.area(shapely.intersection(pixels[pixel], turned[cell])).sum())


def run(side: int = SIDE, rounds: int = ROUNDS) -> dict[str, float]:
    """Print and return ratios of rate maps to the bare overlay."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "map.tif"
        write_raster(path, side)

        def job(**wish: Any) -> Callable[[], Any]:
            return lambda: api.ratemap(path, Path(folder) / "out", unit="kg/ha", dry_run=True, **wish)

        found = alternating(
            {
                "overlay by shapely alone": lambda: overlay(side),
                "--as zones": job(),
                "--as grid2": job(form="grid2", cell_m=CELL_M),
                "--as grid2 --classes 8": job(form="grid2", cell_m=CELL_M, classes="8"),
            },
            rounds,
        )
    floor = found["overlay by shapely alone"]
    rows = [("ratemap", "seconds", "ratio")]
    rows += [(name, f"{seconds:.2f}", f"{seconds / floor:.2f}") for name, seconds in found.items()]
    show(f"Rate map of {side} x {side} pixels (median of {rounds})", rows)
    return {name: seconds / floor for name, seconds in found.items()}
