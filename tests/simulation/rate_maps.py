"""Rate maps that were driven: what ``coverage`` says of each zone and cell, against shapely and against the map.

A field is driven in straight rows at a random heading with a boom of several sections. Each section logs the rate that
the map states in the middle of what it sweeps until the next record: what was applied is the map but for slivers at the
borders of zones. The second method lays out the same rectangles along geodesics and clips them by shapely.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
import pyproj
import rasterio
import shapely

from taskdata import coverage
from taskdata.model.shapes import Area, AreaKind
from taskdata.model.tasks import Setpoint, Zone
from tests.fieldwork import build
from tests.simulation.figure import Figure

STEP_M, LENGTH_M, ROWS = 1.0, 90.0, 5
BY_SHAPELY, BY_MAP, BY_CELL = 1e-3, 1e-2, 2e-3
RAW = 10_000
"""Raw values of DDI 1 and 2 in one L/ha."""

CELL_M = 7.0


def figures(count: int) -> Iterator[Figure]:
    """Yield the figures of so many fields, three zones each."""
    for seed in range(count):
        yield from _field(seed)


def _field(seed: int) -> Iterator[Figure]:
    random = np.random.default_rng(seed)
    turned, widths = random.uniform(0.0, np.pi), random.integers(15, 31, int(random.integers(2, 6))) * 100
    turn = np.array([[np.cos(turned), -np.sin(turned)], [np.sin(turned), np.cos(turned)]])
    width = widths.sum() / 1000.0
    spacing = width - float(random.choice([0.0, 0.3]))
    extent = shapely.box(-width, -5.0, ROWS * spacing + width, LENGTH_M + 5.0)
    shapes, rates = _zones(extent, random), random.integers(30, 51, 3) * 5.0
    ways = [build.straight(LENGTH_M, STEP_M, x=row * spacing, back=row % 2 == 1) for row in range(ROWS)]
    edges = np.concatenate([[0.0], np.cumsum(widths) / 1000.0]) - width / 2.0
    sections = list(pairwise(edges))
    swept = np.array([[_rectangles(way, *section) for way in ways] for section in sections])
    rate = _map(shapes, rates, shapely.centroid(swept))
    on = np.concatenate([np.append(np.ones(len(way) - 1, dtype=int), 0) for way in ways])
    values = {(2, f"DET{22 + place}"): _at_records(found) for place, found in enumerate(rate)}
    log = build.log(
        np.concatenate(ways) @ turn.T,
        {(141, "DET21"): on} | values,
        seconds=np.concatenate([np.arange(len(way)) * 0.2 + 500.0 * row for row, way in enumerate(ways)]),
    )
    zones = tuple(_zone(code, shape, rate, turn) for code, (shape, rate) in enumerate(zip(shapes, rates, strict=True)))
    dataset = build.dataset([log], [build.sprayer(widths.tolist())], zones=zones)
    swept, rate = swept.ravel(), rate.ravel()
    with tempfile.TemporaryDirectory() as folder:
        (found,) = coverage(dataset, raster=Path(folder) / "map.tif", cell_m=CELL_M).tasks
        yield from _cells(
            f"map {seed}", Path(folder) / "map.tif", shapely.transform(swept, lambda xy: xy @ turn.T), rate
        )
    for zone in found.zones:
        shape, name = shapes[zone.code], f"map {seed}, zone {zone.code}"
        shared = shapely.area(shapely.intersection(swept, shape))
        ground = float(shapely.area(shapely.union_all(shapely.intersection(swept, shape), grid_size=1e-6)))
        true = float((shared * rate).sum()) / ground
        yield Figure(f"{name}, m²", zone.area_m2, ground, BY_SHAPELY * ground)
        yield Figure(f"{name}, applied", zone.applied / 100.0, true, BY_SHAPELY * true)
        twice = float(shared.sum()) / ground
        yield Figure(f"{name}, against the map", zone.applied / zone.meant / twice, 1.0, BY_MAP)


def _zones(extent, random) -> list[shapely.Polygon]:
    """The extent cut in three by two lines across it."""
    low, _, high, top = extent.bounds
    first, second = random.uniform(0.25, 0.4) * top, random.uniform(0.6, 0.75) * top
    cuts = [np.array([first, second]) + random.uniform(-4.0, 4.0, 2) for _ in range(2)]
    lines = [np.array([[low, cuts[0][number]], [high, cuts[1][number]]]) for number in range(2)]
    below = [shapely.Polygon([(low, -99.0), (high, -99.0), *line[::-1]]) for line in lines]
    first, second = (shapely.intersection(extent, shape) for shape in below)
    return [first, shapely.difference(second, first), shapely.difference(extent, second)]


def _map(shapes, rates, points) -> np.ndarray:
    inside = np.array([shapely.contains(shape, points) for shape in shapes])
    return rates[inside.argmax(axis=0)]


def _at_records(rate: np.ndarray) -> np.ndarray:
    """Raw rates at the records of all rows: that of each piece, and of the last piece of a row again."""
    return np.round(np.hstack([rate, rate[:, -1:]]).ravel() * RAW).astype(int)


def _zone(code: int, shape, rate: float, turn) -> Zone:
    ring = build.degrees(shapely.get_coordinates(shape) @ turn.T)
    return Zone(code, areas=(Area(AreaKind.TREATMENT_ZONE, (ring,)),), setpoints=(Setpoint(1, round(rate * RAW)),))


def _rectangles(way: np.ndarray, left: float, right: float) -> np.ndarray:
    """What a section sweeps; going south its right is in the west."""
    low, high = np.minimum(way[:-1], way[1:]), np.maximum(way[:-1], way[1:])
    sides = (left, right) if way[-1, 1] > way[0, 1] else (-right, -left)
    return shapely.box(low[:, 0] + sides[0], low[:, 1], high[:, 0] + sides[1], high[:, 1])


def _cells(name: str, file: Path, swept, rate: np.ndarray) -> Iterator[Figure]:
    """The sum over the raster, and its worst cell in shares of the mean rate."""
    with rasterio.open(file) as found:
        applied, crs, transform = found.read(1).astype(float), found.crs, found.transform
    rows, columns = np.indices(applied.shape)
    west, north = transform.c + CELL_M * columns, transform.f - CELL_M * rows
    boxes = shapely.box(west, north - CELL_M, west + CELL_M, north)
    to_crs = pyproj.Transformer.from_crs("EPSG:4326", crs.to_wkt(), always_xy=True)
    placed = shapely.transform(swept, lambda xy: np.column_stack(to_crs.transform(*build.degrees(xy).T)))
    cell, piece = shapely.STRtree(placed).query(boxes.ravel(), predicate="intersects")
    shared = shapely.area(shapely.intersection(boxes.ravel()[cell], placed[piece]))
    true = np.bincount(cell, shared * rate[piece], minlength=applied.size) / CELL_M**2
    total = float((shapely.area(placed) * rate).sum())
    yield Figure(f"{name}, sum of cells", float(np.nansum(applied)) * CELL_M**2, total, 1e-3 * total)
    worst = float(np.abs(np.nan_to_num(applied).ravel() - true).max()) / float(rate.mean())
    yield Figure(f"{name}, worst cell", worst, 0.0, BY_CELL)
