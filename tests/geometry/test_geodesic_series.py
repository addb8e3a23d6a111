"""Short geodesics against geographiclib and PROJ, so that it does not matter which of them a figure comes from."""

from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from pyproj import Geod

from taskdata.geometry import geodesic_series
from taskdata.geometry.geodesic_series import are_edges, are_near, geodesics
from taskdata.geometry.geodesy import ring_area, ring_areas

PROJ = Geod(ellps="WGS84")
SIZES = [1e-7, 1e-5, 1e-3, 0.1, 5.0]


def ends(size: float, count: int = 2_000) -> list[np.ndarray]:
    random = np.random.default_rng(11)
    lon, lat = random.uniform(-180.0, 180.0, count), random.uniform(-89.0, 89.0, count)
    lat[:50] = 0.0
    last_lat = np.clip(lat + random.uniform(-size, size, count), -89.0, 89.0)
    last_lon = np.where(random.random(count) < 0.05, lon, lon + random.uniform(-size, size, count))
    last_lon = (last_lon + 180.0) % 360.0 - 180.0
    return [lon, lat, last_lon, last_lat]


@pytest.mark.parametrize("size", SIZES)
def test_lengths_and_directions_are_those_of_proj(size: float) -> None:
    points = ends(size)
    assert are_edges(*points).all()
    found, (azimuths, _, lengths) = geodesics(*points), PROJ.inv(*points)
    assert found.lengths == pytest.approx(lengths, abs=1e-8)
    turned = np.radians((found.azimuths - azimuths + 180.0) % 360.0 - 180.0)
    assert (np.abs(turned) * lengths).max() < 1e-8  # metres beside the end


@pytest.mark.parametrize("size", SIZES)
def test_areas_are_those_of_geographiclib(size: float) -> None:
    points = ends(size, 100)
    expected = [Geodesic.WGS84.Inverse(b, a, d, c, Geodesic.AREA)["S12"] for a, b, c, d in zip(*points, strict=True)]
    assert geodesics(*points).areas == pytest.approx(np.array(expected), rel=1e-12, abs=1e-4)


@pytest.mark.parametrize("size", [0.001, 0.02, 0.03])
def test_areas_under_short_geodesics_are_those_of_geographiclib(size: float) -> None:
    points = ends(size, 100)
    expected = [Geodesic.WGS84.Inverse(b, a, d, c, Geodesic.AREA)["S12"] for a, b, c, d in zip(*points, strict=True)]
    assert geodesic_series.edge_areas(*points) == pytest.approx(np.array(expected), rel=1e-14, abs=1e-4)
    assert geodesic_series.edge_areas(*points) == pytest.approx(geodesics(*points).areas, rel=1e-15, abs=1e-5)


@pytest.mark.parametrize("size", SIZES[:-1])
def test_areas_of_rings_are_those_of_proj_to_a_fraction_of_what_is_shown(size: float) -> None:
    random = np.random.default_rng(5)
    turns = np.linspace(0.0, 2.0 * math.pi, 41)[:-1]
    for _ in range(50):
        lat, lon = random.uniform(-80.0, 80.0), random.choice([random.uniform(-179.0, 179.0), 179.99999])
        away = size * (1.0 + 0.3 * np.sin(5.0 * turns))
        ring = np.column_stack([lon + away * np.cos(turns) / math.cos(math.radians(lat)), lat + away * np.sin(turns)])
        ring[:, 0] = (ring[:, 0] + 180.0) % 360.0 - 180.0
        expected, _ = PROJ.polygon_area_perimeter(*ring.T)
        assert ring_area(ring) == pytest.approx(expected, rel=1e-12, abs=2e-3)


def test_the_ends_of_a_geodesic_of_no_length_are_one_place() -> None:
    place = np.array([7.0, -180.0]), np.array([54.0, 0.0])
    found = geodesics(*place, *place)
    assert found.lengths.tolist() == found.areas.tolist() == [0.0, 0.0]


def test_long_geodesics_are_those_of_proj() -> None:
    random = np.random.default_rng(4)
    lon, lat, last_lat = (random.uniform(-side, side, 5_000) for side in (180.0, 90.0, 90.0))
    points = np.vstack([lon, lat, lon + random.uniform(-90.0, 90.0, 5_000), last_lat])
    points = points[:, are_near(*points)]
    assert points.shape[1] > 3_000
    found, (azimuths, _, lengths) = geodesics(*points), PROJ.inv(*points)
    assert found.lengths == pytest.approx(lengths, abs=1e-7)
    turned = np.radians((found.azimuths - azimuths + 180.0) % 360.0 - 180.0)
    assert (np.abs(turned) * lengths).max() < 1e-7


def test_what_is_too_long_or_polar_is_left_to_proj() -> None:
    lon, lat = np.array([0.0, 0.0, 0.0, 179.0, np.nan]), np.array([50.0, 50.0, 89.5, 0.0, 0.0])
    last_lon, last_lat = np.array([1.0, 91.0, 0.0, -179.0, 0.0]), np.array([50.0, 50.0, 89.6, 0.0, 0.0])
    assert are_edges(lon, lat, last_lon, last_lat).tolist() == [True, False, False, True, False]
    assert are_near(lon, lat, last_lon, last_lat).tolist() == [True, False, True, True, False]


def test_constants_are_those_of_the_published_equations() -> None:
    """geographiclib evaluates equations 24, 25 and 63 for the third flattening of WGS 84."""
    tables = geodesic_series._A3, geodesic_series._C3, geodesic_series._C4
    flat = [table[table != 0.0].tolist() for table in tables]
    earth = Geodesic.WGS84
    for own, other in zip(flat, (earth._A3x, earth._C3x, earth._C4x), strict=True):
        assert own == pytest.approx(other, rel=1e-15)


def test_rings_computed_together_have_the_areas_that_each_has_alone() -> None:
    random, turns = np.random.default_rng(7), np.linspace(0.0, 2.0 * math.pi, 31)
    sound = [
        np.column_stack([lon + size * np.cos(turns), lat + size * np.sin(turns)])
        for lon, lat, size in zip(random.uniform(-170, 170, 40), random.uniform(-70, 70, 40), SIZES * 8, strict=True)
    ]
    round_the_pole = np.array([[0.0, 80.0], [120.0, 80.0], [-120.0, 80.0]])
    rings = [*sound, round_the_pole, np.full((4, 2), 7.0), sound[0][:2], np.array([[0.0, 95.0], [1, 2], [3, 4]])]
    found = ring_areas(rings)
    assert found.tolist() == [ring_area(ring) for ring in rings]
    expected = [PROJ.polygon_area_perimeter(*ring.T)[0] for ring in [*sound, round_the_pole]]
    assert found[:-3] == pytest.approx(expected, rel=1e-11, abs=2e-3)
    assert found[-3:].tolist() == [0.0, 0.0, 0.0]
