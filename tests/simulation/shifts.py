"""Shifts of everything by east and north metres, against geodesics of geographiclib from each place to its new one."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

import numpy as np
from geographiclib.geodesic import Geodesic

from taskdata.fieldwork.drift.moving import Scope, moved
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Area, AreaKind
from tests.simulation.areas import on_earth, star
from tests.simulation.figure import Figure

BOUND_M = 6e-5


def figures(count: int) -> Iterator[Figure]:
    """Yield by how much the middle of so many fields moved east and north, metres."""
    for seed in range(count):
        random = np.random.default_rng(2000 + seed)
        lon, lat = (180.0 if seed % 5 == 0 else random.uniform(-170.0, 170.0)), random.uniform(-70.0, 70.0)
        corners = star(random, 300.0, 8)
        outline = on_earth(corners - (corners.min(axis=0) + corners.max(axis=0)) / 2.0, lon, lat)
        east, north = random.uniform(-3.0, 3.0, 2)
        data = Dataset(
            "made here", "isoxml", fields=(Field("PFD1", "F", boundaries=(Area(AreaKind.BOUNDARY, (outline,)),)),)
        )
        found = moved(data, east, north, Scope(lines_only=False))
        assert found.counts == Counter(areas=1, fields=1)
        ring = found.dataset.fields[0].boundaries[0].exteriors[0]
        ways = [Geodesic.WGS84.Inverse(a[1], a[0], b[1], b[0]) for a, b in zip(outline, ring, strict=True)]
        size = [way["s12"] for way in ways]
        yield Figure(f"shift {seed}", float(np.mean(size)), math.hypot(east, north), BOUND_M)
        yield Figure(f"rigid {seed}", float(np.ptp(size)), 0.0, BOUND_M)
