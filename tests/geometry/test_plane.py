"""The local plane against geographiclib (C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87, 2013)."""

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from taskdata.geometry.plane import LocalPlane, with_antimeridian

EARTH = Geodesic.WGS84
PLACES = [(9.3, 0), (9.3, 45), (9.3, 65), (180, 45), (-179.999, -65), (0, 89.99), (0, -90)]


def square(lon, lat, side):
    """Corners of a field and 20 points inside, as offsets in metres turned into degrees by geographiclib."""
    half = side / 2
    corners = np.array([(-half, -half), (half, -half), (half, half), (-half, half)])
    inside = np.random.default_rng(3).uniform(-half, half, (20, 2))
    offsets = np.vstack([corners, inside])
    ends = [EARTH.Direct(lat, lon, np.degrees(np.arctan2(x, y)), np.hypot(x, y)) for x, y in offsets]
    return np.array([(end["lon2"], end["lat2"]) for end in ends])


def shoelace(points):
    x, y = points.T
    return (x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2


@pytest.mark.parametrize(("side", "length_error", "area_error"), [(2000, 1.3e-8, 1e-8), (5000, 8e-8, 6e-8)])
@pytest.mark.parametrize(("lon", "lat"), PLACES)
def test_errors_stay_below_those_stated(lon, lat, side, length_error, area_error):
    points = square(lon, lat, side)
    local = LocalPlane.centred_on(points).forward(points)
    if abs(lat) == 90:  # the meridian of the plane is any, so that the square may lie on its corner: twice x² at most
        length_error *= 2
    for i in range(len(points)):
        for j in range(i):
            truth = EARTH.Inverse(points[i, 1], points[i, 0], points[j, 1], points[j, 0])["s12"]
            # 1e-8 m: what degrees in double precision can tell apart near 180
            assert np.hypot(*(local[i] - local[j])) == pytest.approx(truth, rel=length_error, abs=1e-8)
    polygon = EARTH.Polygon()
    for x, y in points[:4]:
        polygon.AddPoint(y, x)
    assert shoelace(local[:4]) == pytest.approx(polygon.Compute()[2], rel=area_error)


def test_errors_of_a_ten_kilometre_field():
    points = square(9.3, 60, 10000)
    plane = LocalPlane.centred_on(points)
    local = plane.forward(points)
    east = EARTH.Inverse(points[1, 1], points[1, 0], points[2, 1], points[2, 0])["s12"]
    assert np.hypot(*(local[1] - local[2])) == pytest.approx(east, rel=3.2e-7)
    polygon = EARTH.Polygon()
    for x, y in points[:4]:
        polygon.AddPoint(y, x)
    assert shoelace(local[:4]) == pytest.approx(polygon.Compute()[2], rel=2.2e-7)


def test_bend_of_a_geodesic_stays_below_a_millimetre():
    points = square(9.3, 45, 5000)
    plane = LocalPlane.centred_on(points)
    middle = EARTH.InverseLine(points[1, 1], points[1, 0], points[2, 1], points[2, 0])
    halfway = middle.Position(middle.s13 / 2)
    start, end, on = plane.forward([points[1], points[2], (halfway["lon2"], halfway["lat2"])])
    assert np.hypot(*(on - (start + end) / 2)) < 1e-3


@pytest.mark.parametrize(("lon", "lat"), PLACES)
def test_there_and_back(lon, lat):
    points = square(lon, lat, 5000)
    plane = LocalPlane.centred_on(points)
    back = plane.inverse(plane.forward(points))
    for one, other in zip(points, back, strict=True):
        assert EARTH.Inverse(one[1], one[0], other[1], other[0])["s12"] < 1e-7
    assert np.abs(back[:, 0]).max() <= 180


@pytest.mark.parametrize(("lon", "lat"), PLACES)
def test_origin_is_the_middle(lon, lat):
    points = square(lon, lat, 5000)[:4]
    plane = LocalPlane.centred_on(points)
    assert EARTH.Inverse(plane.lat, plane.lon, lat, lon)["s12"] < 2
    local = plane.forward(points)
    assert local.min(axis=0) + local.max(axis=0) == pytest.approx([0, 0], abs=0.01)


def test_east_and_north_point_where_they_should():
    plane = LocalPlane(180.0, 45.0)
    east, north = plane.forward([(-179.99, 45), (180, 45.01)])
    assert east[0] > 700
    assert abs(north[0]) < 1e-6
    assert north[1] > 1000


def test_what_is_no_place_gives_nan_and_no_plane():
    plane = LocalPlane(9.0, 50.0)
    assert np.isnan(plane.forward([(np.nan, 1), (9, np.inf), (9, 95)])).all()
    assert plane.forward([]).shape == (0, 2)
    with pytest.raises(ValueError, match="at least one point"):
        LocalPlane.centred_on([(np.nan, 50)])
    assert LocalPlane.centred_on([(9, 50), (np.nan, 1)]) == LocalPlane.centred_on([(9, 50)])


def test_a_plane_is_about_what_lies_on_earth():
    """One sequence with a place is enough; none has no plane."""
    nowhere = [(9.3, 90.5), (np.nan, 45.0)]
    assert LocalPlane.about([]) is None
    assert LocalPlane.about([nowhere, []]) is None
    assert LocalPlane.about([nowhere, [(9.3, 45.0)]]) == LocalPlane(9.3, 45.0)
    assert LocalPlane.about([[(9.3, 90.0)]]).lat == 90.0


@pytest.mark.parametrize("east", [True, False])
def test_a_line_is_cut_at_the_antimeridian_where_the_geodesic_crosses_it(east):
    """400 m along 60 degrees north: a cut half way between the latitudes would lie 5 mm beside the line."""
    first, last = (179.998, 60.0), (-179.995, 60.0)
    line = [first, last] if east else [last, first]
    found = with_antimeridian([(179.99, 60.0), *line] if east else [(-179.99, 60.0), *line])
    assert len(found) == 4
    assert found[2, 0] == (180.0 if east else -180.0)
    whole = EARTH.InverseLine(first[1], first[0], last[1], last[0])
    low, high = 0.0, whole.s13
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if whole.Position(middle)["lon2"] > 0.0 else (low, middle)
    truth = whole.Position(low)["lat2"]
    assert found[2, 1] == pytest.approx(truth, abs=1e-9)
    assert abs(found[2, 1] - 60.0) > 2e-8


def test_a_line_that_stays_on_one_side_is_not_cut():
    line = np.array([(179.9, 60.0), (180.0, 60.0), (179.9, 60.1)])
    assert with_antimeridian(line).tolist() == line.tolist()
