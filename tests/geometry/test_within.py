"""Places on ground with many corners, against GEOS asked for each place on the ground as it lies."""

import numpy as np
import pytest
import shapely

from taskdata.geometry import within
from taskdata.geometry.within import Within


def stripes(angle):
    """Return stripes with ragged edges and a hole, turned by degrees, and a square round them."""
    random = np.random.default_rng(3)
    up = np.arange(0.0, 200.0, 2.0)
    found = []
    for at in range(0, 60, 6):
        right, left = (at + side + random.normal(0.0, 0.02, len(up)) for side in (5.0, 0.0))
        ring = np.concatenate([np.column_stack([right, up]), np.column_stack([left, up])[::-1]])
        found.append(shapely.Polygon(ring, [[(at + 2, 50), (at + 3, 60), (at + 2, 60)]]))
    ground = shapely.multipolygons(found)
    turn = np.radians(angle)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return shapely.transform(ground, lambda points: points @ matrix)


@pytest.mark.parametrize("angle", [0.0, 30.0, 90.0, 135.0])
@pytest.mark.parametrize("many", [0, 10**9])
def test_the_same_places_lie_on_turned_ground(monkeypatch, angle, many):
    monkeypatch.setattr(within, "_MANY", many)
    ground = stripes(angle)
    west, south, east, north = shapely.total_bounds(ground)
    places = np.random.default_rng(4).uniform([west, south], [east, north], (500, 4, 2))
    found = Within(ground)(places)
    assert found.shape == (500, 4)
    assert found.tolist() == shapely.contains_xy(ground, places[..., 0], places[..., 1]).tolist()
    assert 0.1 < found.mean() < 0.9


def test_nothing_lies_on_no_ground(monkeypatch):
    monkeypatch.setattr(within, "_MANY", 0)
    assert not Within(shapely.MultiPolygon())(np.zeros((3, 2))).any()
