"""Geometries of many records at once are, byte by byte, those of each record alone."""

import numpy as np
import pytest

from taskdata.formats.geometries import shapes
from taskdata.formats.geometries.many_areas import multipolygons
from taskdata.model.shapes import Area, AreaKind

RING = np.array([[7.0, 54.0], [7.01, 54.0], [7.01, 54.01], [7.0, 54.01]])
CASES = {
    "open": RING,
    "closed": np.vstack([RING, RING[:1]]),
    "closed twice": np.vstack([RING, RING[:1], RING[:1]]),
    "clockwise": RING[::-1],
    "with a height": np.column_stack([RING, np.zeros(4)]),
    "a place twice": np.repeat(RING, 2, axis=0),
    "two places": np.vstack([RING[:2], RING[:2]]),
    "one place": np.repeat(RING[:1], 4, axis=0),
    "flat": np.array([[7.0, 54.0], [7.01, 54.0], [7.02, 54.0], [7.0, 54.0]]),
    "an eight": RING[[0, 2, 1, 3]],
    "no number": np.vstack([RING, [[np.nan, 54.0]]]),
    "infinite": np.vstack([RING, [[np.inf, 54.0]]]),
    "across the antimeridian": RING + np.array([172.995, 0.0]),
    "beyond it": RING + np.array([174.0, 0.0]),
    "up to it": RING + np.array([172.99, 0.0]),
    "round the pole": np.array([[0.0, 80.0], [120.0, 80.0], [-120.0, 80.0]]),
    "beyond the pole": RING + np.array([0.0, 36.5]),
    "empty": np.empty((0, 2)),
}


def alone(areas):
    return shapes.to_wkb(shapes.multipolygon(areas))


def area(*rings, holes=()):
    return Area(AreaKind.BOUNDARY, rings, holes)


@pytest.mark.parametrize("name", CASES)
def test_each_kind_of_ring(name):
    records = [[area(ring)] for ring in (RING, CASES[name], RING + 1.0)]
    assert multipolygons(records) == [alone(record) for record in records]


def test_records_of_several_areas_rings_and_holes():
    hole = RING * 0.5 + RING.mean(axis=0) * 0.5
    records = [[area(RING, holes=(hole,))], [area(RING, RING + 1.0)], [area(RING), area(RING + 1.0)], [area(RING)], []]
    assert multipolygons(records) == [alone(record) for record in records]
    assert multipolygons([]) == []


def test_random_rings():
    random = np.random.default_rng(20260506)
    records = []
    for _ in range(2000):
        near = random.uniform([-184.0, -89.0], [184.0, 89.0]) if random.random() < 0.3 else np.array([7.0, 54.0])
        ring = np.round(near + random.normal(0.0, 1e-3, (random.integers(0, 9), 2)), int(random.integers(3, 10)))
        records.append([area(np.vstack([ring, ring[:1]]) if random.random() < 0.5 else ring)])
    assert multipolygons(records) == [alone(record) for record in records]
