"""Lengths, areas and directions against published values and geographiclib.

Sources: GeographicLib documentation (examples of PolygonArea and Inverse); C. F. F. Karney, Algorithms for geodesics,
J. Geodesy 87 (2013), whose pure Python implementation geographiclib is the independent second one; NIMA TR8350.2.
"""

import warnings
from itertools import pairwise

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from taskdata.geometry import geodesic_series, geodesy

QUICK = settings(max_examples=60, deadline=None, derandomize=True, database=None)
EARTH = Geodesic.WGS84

# GeographicLib documentation, outline of Antarctica, latitude then longitude
ANTARCTICA = np.array(
    [
        (-63.1, -58), (-72.9, -74), (-71.9, -102), (-74.9, -102), (-74.3, -131), (-77.5, -163), (-77.4, 163),
        (-71.7, 172), (-65.9, 140), (-65.7, 113), (-66.6, 88), (-66.9, 59), (-69.8, 25), (-70.0, -4), (-71.0, -14),
        (-77.3, -33), (-77.9, -46), (-74.7, -61),
    ]
)[:, ::-1]  # fmt: skip


def reference_polygon(ring):
    polygon = EARTH.Polygon()
    for lon, lat in ring:
        polygon.AddPoint(lat, lon)
    _, perimeter, area = polygon.Compute()
    return perimeter, area


@st.composite
def stars(draw):
    """Rings round a place anywhere, the antimeridian and the poles included, from 10 m to 300 km across."""
    lon, lat = (
        draw(st.floats(-180, 180) | st.floats(179.9, 180) | st.floats(-180, -179.9)),
        draw(st.floats(-89.9, 89.9)),
    )
    size = 10 ** draw(st.floats(1, 5))
    count = draw(st.integers(3, 12))
    radii = draw(st.lists(st.floats(0.5, 1.5), min_size=count, max_size=count))
    ends = [EARTH.Direct(lat, lon, -360 * i / count, size * radius) for i, radius in enumerate(radii)]
    return np.array([(end["lon2"], end["lat2"]) for end in ends])


def test_ellipsoid_is_that_of_nima_tr8350_2():
    assert geodesic_series.A == 6378137
    assert pytest.approx(298.257223563, abs=1e-12) == 1 / geodesic_series.F


def test_antarctica_of_the_geographiclib_documentation():
    assert geodesy.ring_area(ANTARCTICA) == pytest.approx(13662703680020.1, abs=1)
    assert geodesy.ring_area(ANTARCTICA[::-1]) == pytest.approx(-13662703680020.1, abs=1)
    assert geodesy.ring_perimeter(ANTARCTICA) == pytest.approx(16831067.893, abs=0.001)


def test_inverse_of_the_geographiclib_documentation():
    start, end = (174.81, -41.32), (-5.50, 40.96)
    assert geodesy.line_length([start, end]) == pytest.approx(19959679.26735, abs=1e-5)
    assert geodesy.azimuth(start, end) == pytest.approx(161.067669986, abs=1e-9)
    back = geodesy.azimuth(end, start)
    assert back == pytest.approx((18.825195123 + 180) % 360, abs=1e-9)  # the published azi2 looks onwards, not back


@QUICK
@given(stars())
def test_areas_and_perimeters_agree_with_geographiclib(ring):
    perimeter, area = reference_polygon(ring)
    # both implementations round an area of S12 terms at about 1e-5 m², whatever its size
    assert geodesy.ring_area(ring) == pytest.approx(area, rel=1e-9, abs=1e-3)
    assert geodesy.ring_perimeter(ring) == pytest.approx(perimeter, rel=1e-9)


@QUICK
@given(stars())
def test_open_and_closed_rings_give_the_same(ring):
    closed = np.vstack([ring, ring[:1]])
    assert geodesy.ring_area(closed) == geodesy.ring_area(ring)
    assert geodesy.ring_perimeter(closed) == geodesy.ring_perimeter(ring)
    assert geodesy.ring_area(ring) > 0  # generated counter-clockwise
    assert geodesy.ring_area(ring[::-1]) == pytest.approx(-geodesy.ring_area(ring), rel=1e-9, abs=1e-3)


@QUICK
@given(stars())
def test_lengths_and_azimuths_agree_with_geographiclib(line):
    expected = [EARTH.Inverse(a[1], a[0], b[1], b[0]) for a, b in pairwise(line)]
    assert geodesy.segment_lengths(line) == pytest.approx([each["s12"] for each in expected], rel=1e-9, abs=1e-8)
    assert geodesy.line_length(line) == pytest.approx(sum(each["s12"] for each in expected), rel=1e-9)
    azimuths, _ = geodesy.inverse(line[:-1], line[1:])
    assert ((azimuths >= 0) & (azimuths < 360)).all()
    turned = (azimuths - np.array([each["azi1"] for each in expected]) + 180) % 360 - 180
    assert turned == pytest.approx(np.zeros(len(turned)), abs=1e-7)


def test_destination_agrees_with_geographiclib():
    expected = EARTH.Direct(65, 179.99, 75, 5000)
    assert geodesy.destination((179.99, 65), 75, 5000) == pytest.approx([expected["lon2"], expected["lat2"]], abs=1e-12)
    many = geodesy.destination([(179.99, 65), (0, 0)], [75, 90], 5000)
    assert many.shape == (2, 2)
    assert many[0] == pytest.approx([expected["lon2"], expected["lat2"]], abs=1e-12)


def test_directions_of_the_compass():
    assert geodesy.azimuth((8, 50), (8, 51)) == 0
    assert geodesy.azimuth((8, 51), (8, 50)) == 180
    assert geodesy.azimuth((0, 0), (1, 0)) == 90
    assert geodesy.azimuth((0, 0), (-1, 0)) == 270
    assert geodesy.azimuth((179.5, 0), (-179.5, 0)) == 90
    assert np.isnan(geodesy.azimuth((8, 50), (8, 50)))


def test_longitudes_past_the_antimeridian_are_the_same_places():
    ring = np.array([(179.9, 50), (-179.9, 50), (-179.9, 50.1), (179.9, 50.1)])
    past = np.array([(179.9, 50), (180.1, 50), (180.1, 50.1), (179.9, 50.1)])
    assert geodesy.ring_area(past) == pytest.approx(geodesy.ring_area(ring), rel=1e-12)
    assert geodesy.ring_area(ring) == pytest.approx(reference_polygon(ring)[1], rel=1e-9)


def test_polar_cap_lies_on_the_left():
    cap = np.array([(0, 89), (90, 89), (180, 89), (-90, 89)])
    assert geodesy.ring_area(cap) == pytest.approx(reference_polygon(cap)[1], rel=1e-9)
    assert geodesy.ring_area(cap) > 0
    assert geodesy.ring_area(cap[::-1]) == pytest.approx(-geodesy.ring_area(cap), rel=1e-9)
    assert geodesy.ring_area(cap * [1, -1]) < 0


def test_holes_are_taken_out():
    outer = np.array([(8, 50), (8.1, 50), (8.1, 50.1), (8, 50.1)])
    hole = np.array([(8.02, 50.02), (8.02, 50.04), (8.04, 50.04), (8.04, 50.02)])
    expected = reference_polygon(outer)[1] - abs(reference_polygon(hole)[1])
    assert geodesy.polygon_area([outer], [hole]) == pytest.approx(expected, rel=1e-9)
    assert geodesy.polygon_area([outer[::-1]], [hole[::-1]]) == pytest.approx(expected, rel=1e-9)
    assert geodesy.polygon_area([hole], [outer]) == 0
    assert geodesy.ring_areas([outer, hole]) == pytest.approx(
        [reference_polygon(r)[1] for r in (outer, hole)], rel=1e-9
    )


@pytest.mark.parametrize(
    "ring",
    [[], [(1, 2)], [(1, 2), (3, 4)], [(1, 2)] * 5, [(1, 2), (np.nan, 3), (4, 5)], [(1, 2), (3, 91), (4, 5)],
     [(1, 2), (np.inf, 3), (np.inf, 5)]],
)  # fmt: skip
def test_what_has_no_area_gives_zero_without_a_warning(ring):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert geodesy.ring_area(ring) == 0
        assert geodesy.polygon_area([ring], [ring]) == 0
        assert np.isfinite(geodesy.ring_perimeter(ring))
        assert np.isfinite(geodesy.line_length(ring))
        assert len(geodesy.segment_lengths(ring)) == max(len(ring) - 1, 0)


def test_perimeters_of_many_rings_are_those_of_each_alone() -> None:
    made = np.random.default_rng(5)
    middles = made.uniform([-179.0, -85.0], [179.0, 85.0], (4, 2))
    rings = [
        middle + made.uniform(-0.01, 0.01, (count, 2)) for middle, count in zip(middles, (4, 9, 1, 30), strict=True)
    ]
    rings += [np.empty((0, 2)), np.array([[9.0, 50.0], [np.nan, 50.0], [9.0, 51.0]]), np.array(ANTARCTICA)]
    rings += [np.vstack([rings[1], rings[1][:1]]), np.array([[0.0, 0.0], [179.7, 0.1], [90.0, 80.0]])]
    found = geodesy.ring_perimeters(rings * 200)
    assert found[: len(rings)] == pytest.approx([geodesy.ring_perimeter(ring) for ring in rings], rel=1e-13)
    assert np.array_equal(found, np.tile(found[: len(rings)], 200))
    assert found[3] == pytest.approx(reference_polygon(rings[3])[0], rel=1e-9)


def test_areas_of_many_polygons_are_those_of_each():
    """Rings, holes and polygons without any, at once and one at a time."""
    ring = np.array([[7.0, 54.0], [7.02, 54.0], [7.02, 54.01], [7.0, 54.01]])
    hole = ring * 0.5 + ring.mean(axis=0) * 0.5
    polygons = [
        ([ring], []),
        ([ring], [hole]),
        ([], []),
        ([ring, ring + 1.0], [hole]),
        ([hole], [ring]),
        ([ring + 90.0], []),
    ]
    found = geodesy.polygon_areas(polygons)
    assert found.tolist() == pytest.approx([geodesy.polygon_area(*polygon) for polygon in polygons], rel=1e-12)
    assert found[1] == pytest.approx(0.75 * found[0], rel=1e-6)
    assert found[[2, 4, 5]].tolist() == [0.0, 0.0, 0.0]
    assert geodesy.polygon_areas([]).tolist() == []
