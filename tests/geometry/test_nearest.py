"""What lies nearest, with distances from geographiclib."""

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from taskdata.geometry.areas import GroundPart
from taskdata.geometry.nearest import NEAR_M, Near, Site, Sites, in_metres, line_of
from taskdata.geometry.plane import LocalPlane

EARTH = Geodesic.WGS84
QUICK = settings(max_examples=60, deadline=None, derandomize=True, database=None)


def box(lon, lat, size=200.0):
    """A square field whose south-west corner is a place."""
    plane = LocalPlane(lon, lat)
    ring = plane.inverse(size * np.array([(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)]))
    ring[0] = ring[-1] = (lon, lat)
    return [GroundPart([ring])]


def beyond(lon, lat, azimuth, metres):
    end = EARTH.Direct(lat, lon, azimuth, metres)
    return end["lon2"], end["lat2"]


@pytest.mark.parametrize("lat", [0.0, 52.0, 60.0, -45.0, 85.0])
@pytest.mark.parametrize("lon", [7.0, 179.9995, -179.9995])
def test_nearest_in_metres_is_not_nearest_in_degrees(lon, lat):
    """One field 400 m east, one 300 m north: from 42 degrees of latitude on the eastern one is farther in degrees."""
    place = (lon, lat)
    east, north = box(*beyond(*place, 90.0, 400.0)), box(*beyond(*place, 0.0, 500.0))
    found = Sites([north, east]).nearest(shapely.Point(place))
    assert found is not None
    assert (found.index, round(found.distance_m)) == (1, 400)


def test_a_line_that_lies_in_two_fields_goes_to_the_one_with_most_of_it():
    plane = LocalPlane(7.0, 54.0)
    fields = [[GroundPart([plane.inverse(np.array(ring))])] for ring in (square(0, 0), square(100, 0))]
    line = shapely.LineString(plane.inverse(np.array([(60, 50), (190, 50)])))
    assert Sites(fields).nearest(line) == Near(1, 0.0)


def square(x, y, size=100.0):
    return [(x, y), (x + size, y), (x + size, y + size), (x, y + size)]


def test_a_point_in_two_fields_goes_to_the_first():
    sites = Sites([box(7.0, 54.0, 900.0), box(7.001, 54.001, 100.0)])
    assert sites.nearest(shapely.Point(7.0011, 54.0011)) == Near(0, 0.0)


def test_what_lies_beyond_the_limit_belongs_to_no_field():
    sites = Sites([box(7.0, 54.0)])
    corner = (7.0, 54.0)
    near, far = (shapely.Point(beyond(*corner, 180.0, metres)) for metres in (NEAR_M - 0.01, NEAR_M + 0.01))
    assert sites.nearest(near) is not None
    assert sites.nearest(far) is None
    assert sites.nearest(far, NEAR_M + 0.1) is not None
    assert (
        sites.nearest(shapely.LineString([beyond(*corner, 200.0, 500_000.0), beyond(*corner, 200.0, 510_000.0)]))
        is None
    )


def test_fields_without_ground_are_passed_over():
    flat = [GroundPart([np.array([(7.0, 54.0), (7.1, 54.1), (7.2, 54.2)])])]
    assert Sites([[], flat, box(7.0, 54.0)]).nearest(shapely.Point(7.0001, 54.0001)) == Near(2, 0.0)
    assert Sites([[], flat]).nearest(shapely.Point(7.0, 54.0)) is None
    assert Sites([]).nearest(shapely.Point(7.0, 54.0)) is None
    assert Sites([box(7.0, 54.0)]).nearest(shapely.Point()) is None


def test_an_island_in_a_pond_is_inside_and_the_water_is_not():
    plane = LocalPlane(7.0, 54.0)
    field, pond, island = (plane.inverse(np.array(square(*at))) for at in ((0, 0, 100), (20, 20, 60), (40, 40, 20)))
    site = Site.of([GroundPart([field], [pond]), GroundPart([island])])
    assert site is not None
    dry, wet = (shapely.Point(plane.inverse([at])[0]) for at in ((50, 50), (30, 50)))
    assert site.distance(dry) == 0.0
    assert site.distance(wet) == pytest.approx(10.0, abs=1e-6)


def test_a_line_cut_at_the_antimeridian_is_one_place():
    sites = Sites([box(179.9995, -17.0, 300.0)])
    line = shapely.MultiLineString([[(179.9996, -17.01), (180.0, -17.01)], [(-180.0, -17.01), (-179.9996, -17.01)]])
    found = sites.nearest(line, 5000.0)
    assert found is not None
    assert found.distance_m == pytest.approx(EARTH.Inverse(-17.0, 180.0, -17.01, 180.0)["s12"], rel=1e-5)


@pytest.mark.parametrize("pole", [90.0, -90.0])
def test_near_a_pole_every_longitude_is_near(pole):
    sign = np.sign(pole)
    field = box(20.0, pole - sign * 0.003, 50.0)  # 335 m from the pole
    across = (-160.0, pole - sign * 0.002)  # 223 m on the other side of it
    found = Sites([field]).nearest(shapely.Point(across))
    assert found is not None
    assert found.distance_m == pytest.approx(Site.of(field).distance(shapely.Point(across)))
    assert 500.0 < found.distance_m < 560.0


@QUICK
@given(
    st.floats(-180, 180) | st.floats(179.99, 180),
    st.floats(-89.5, 89.5),
    st.floats(180.01, 269.99),
    st.floats(1, 20_000),
)
def test_distances_to_a_corner_agree_with_geographiclib(lon, lat, azimuth, metres):
    """Beyond the south-western corner of a field the corner is the nearest place of it."""
    place = beyond(lon, lat, azimuth, metres)
    site = Site.of(box(lon, lat, 10.0))
    assert site is not None
    assert site.distance(shapely.Point(place)) == pytest.approx(metres, rel=1e-5)
    found = Sites([box(lon, lat, 10.0)]).nearest(shapely.Point(place), metres * 1.0001)
    assert found is not None
    assert Sites([box(lon, lat, 10.0)]).nearest(shapely.Point(place), metres * 0.9999) is None


def test_a_line_round_the_world_is_no_trouble():
    sites = Sites([box(7.0, 54.0)])
    assert sites.nearest(shapely.LineString([(-170, 10), (-80, 0), (10, -20), (100, 0), (170, 10)])) is None
    assert sites.nearest(shapely.LineString([(7.0001, 54.0001), (100, 0), (-173, 0)])) == Near(0, 0.0)


def test_a_line_of_one_place_is_a_point():
    assert line_of([(1, 2)]) == shapely.Point(1, 2)
    assert line_of([(1, 2), (3, 4)]) == shapely.LineString([(1, 2), (3, 4)])


def test_of_a_polygon_that_reaches_round_the_world_only_points_are_left():
    wide = shapely.Polygon([(7.0, 54.0), (100.0, 0.0), (130.0, 0.0), (7.0, 54.001)])
    moved = in_metres(wide, LocalPlane(10.0, 50.0))
    assert moved.geom_type == "MultiPoint"
    assert len(moved.geoms) == 4  # of five places one lies at right angles to the middle of the plane
    assert Sites([box(7.0, 54.0)]).nearest(wide) == Near(0, 0.0)
