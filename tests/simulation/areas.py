"""Areas and outlines of fields by ``inspect``, against geographiclib (C. F. F. Karney, J. Geodesy 87, 2013)."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from geographiclib.geodesic import Geodesic

from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Area, AreaKind
from taskdata.reports.inspect import inspect_document
from tests.simulation.figure import Figure

RELATIVE = 2e-8


def star(random: np.random.Generator, size: float, corners: int) -> np.ndarray:
    """The corners of an outline about the origin, metres."""
    angle = np.sort(random.uniform(0.0, 2.0 * np.pi, corners))
    radius = random.uniform(0.5, 1.0, corners) * size
    return np.column_stack([radius * np.sin(angle), radius * np.cos(angle)])


def on_earth(metres: np.ndarray, lon: float, lat: float) -> np.ndarray:
    """Degrees of places east and north of a point, each along its own geodesic."""
    found = []
    for x, y in metres:
        item = Geodesic.WGS84.Direct(lat, lon, np.degrees(np.arctan2(x, y)), np.hypot(x, y))
        found.append((item["lon2"], item["lat2"]))
    return np.array(found)


def by_karney(ring: np.ndarray) -> tuple[float, float]:
    """Area in m² and length in m of a ring in degrees."""
    polygon = Geodesic.WGS84.Polygon()
    for lon, lat in ring:
        polygon.AddPoint(lat, lon)
    _, perimeter, area = polygon.Compute()
    return abs(area), perimeter


def figures(count: int) -> Iterator[Figure]:
    """Yield area and perimeter of so many fields, every third with a pond, at all latitudes and across 180 degrees."""
    for seed in range(count):
        random = np.random.default_rng(seed)
        lon, lat = (180.0 if seed % 5 == 0 else random.uniform(-179.0, 179.0)), random.uniform(-78.0, 78.0)
        outline = on_earth(star(random, 10.0 ** random.uniform(1.5, 3.5), int(random.integers(4, 40))), lon, lat)
        pond = on_earth(star(random, 5.0, 12), lon, lat) if seed % 3 == 0 else None
        area = Area(AreaKind.BOUNDARY, (outline,), () if pond is None else (pond,))
        found = inspect_document(Dataset("made here", "isoxml", fields=(Field("PFD1", "F", boundaries=(area,)),)))
        (field,) = found["fields"]
        size, around = by_karney(outline)
        hole, edge = (0.0, 0.0) if pond is None else by_karney(pond)
        yield Figure(f"area {seed}", field["area_m2"], size - hole, RELATIVE * size)
        yield Figure(f"perimeter {seed}", field["perimeter_m"], around + edge, RELATIVE * around)
