"""Plans of passes read back from the layer that they are written to, in a projection of pyproj's own.

Undone ground is the field less the bars that go along the passes, by shapely; the spacing that between the lines of
neighbouring rows; lengths by geographiclib.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
import shapely
from geographiclib.geodesic import Geodesic
from pyproj import Transformer

from taskdata.exchange.passing import passes
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Area, AreaKind
from tests.simulation.areas import on_earth, star
from tests.simulation.figure import Figure

MILLIMETRE = 1e-3


def figures(count: int) -> Iterator[Figure]:
    """Yield spacing, length, and undone ground of so many plans, every fifth across 180 degrees."""
    for seed in range(count):
        random = np.random.default_rng(1000 + seed)
        lon, lat = (180.0 if seed % 5 == 0 else random.uniform(-170.0, 170.0)), random.uniform(-65.0, 65.0)
        width = float(np.round(random.uniform(3.0, 30.0), 1))
        outline = on_earth(star(random, random.uniform(8.0, 14.0) * width, int(random.integers(4, 9))), lon, lat)
        field = Field("PFD1", "F", boundaries=(Area(AreaKind.BOUNDARY, (outline,)),))
        data = Dataset("made here", "isoxml", fields=(field,))
        wanted = {"line": f"{random.uniform(0.0, 180.0):.3f}", "width_m": width, "headland": seed % 3}
        with tempfile.TemporaryDirectory() as folder:
            target = Path(folder) / "passes.geojson"
            plan = passes(data, output=target, **wanted).plan
            features = json.loads(target.read_text(encoding="utf-8"))["features"]
        flat = Transformer.from_crs("EPSG:4326", f"+proj=tmerc +lat_0={lat} +lon_0={lon} +k=1", always_xy=True)
        lines = [(item["properties"], _line(item["geometry"], flat)) for item in features]
        yield from _figures(seed, plan, lines, shapely.Polygon(np.column_stack(flat.transform(*outline.T))), width)


def _figures(seed, plan, lines, ground, width) -> Iterator[Figure]:
    rows = {item["row"]: line for item, line in lines if not item["headland"] and item["part"] == 1}
    apart = [
        abs(float(shapely.distance(_endless(rows[number]), shapely.Point(rows[number + 1].coords[0]))))
        for number in sorted(rows)
        if number + 1 in rows
    ]
    yield from (Figure(f"spacing {seed}.{place}", found, width, MILLIMETRE) for place, found in enumerate(apart[:3]))
    total = sum(_way(piece.points) for piece in plan.pieces)
    yield Figure(f"length {seed}", plan.length_m, total, MILLIMETRE * len(plan.pieces))
    bars = [line.buffer(width / 2.0, cap_style="flat", join_style="mitre", mitre_limit=1.02) for _, line in lines]
    left = ground.difference(shapely.union_all(bars)).area
    told = (plan.undone_m2 or 0.0) + (plan.undone_headland_m2 or 0.0)
    yield Figure(f"undone {seed}", told, left, 1.0 + 1e-4 * left)
    yield Figure(f"undone beyond the headland {seed}", plan.undone_m2 or 0.0, 0.0, 0.02 * ground.length)


def _line(geometry, flat) -> shapely.LineString:
    parts = [geometry["coordinates"]] if geometry["type"] == "LineString" else geometry["coordinates"]
    return shapely.LineString(np.column_stack(flat.transform(*np.vstack([np.array(part) for part in parts]).T)))


def _endless(line: shapely.LineString) -> shapely.LineString:
    ends = np.array([line.coords[0], line.coords[-1]])
    ahead = 10_000.0 * (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    return shapely.LineString([ends[0] - ahead, ends[1] + ahead])


def _way(points: np.ndarray) -> float:
    steps = pairwise(points)
    return sum(Geodesic.WGS84.Inverse(a[1], a[0], b[1], b[0])["s12"] for a, b in steps)
