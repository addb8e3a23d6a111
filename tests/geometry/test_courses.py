"""Courses by heading or centre against geographiclib's solutions of the direct and the inverse problem."""

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from taskdata.geometry.courses import CIRCLE_TOLERANCE_M, STRAIGHT_M, arc, straight

CENTRE = (7.0, 54.3)
NORTH, EAST = (7.0, 54.301), (7.001715, 54.3)


def to(point, other):
    return Geodesic.WGS84.Inverse(point[1], point[0], other[1], other[0])


def test_a_straight_runs_along_the_geodesic():
    first, second = straight(CENTRE, 30.5)
    wanted = Geodesic.WGS84.Direct(CENTRE[1], CENTRE[0], 30.5, STRAIGHT_M)
    assert first.tolist() == list(CENTRE)
    assert second == pytest.approx([wanted["lon2"], wanted["lat2"]], abs=1e-9)


@pytest.mark.parametrize("radius", [3.0, 120.0, 5000.0])
def test_a_circle_keeps_to_its_radius(radius):
    points = arc([CENTRE], radius)
    assert (points[0] == points[-1]).all()
    assert [to(CENTRE, point)["s12"] for point in points] == pytest.approx([radius] * len(points), abs=1e-6)
    middles = (points[1:] + points[:-1]) / 2
    assert min(to(CENTRE, middle)["s12"] for middle in middles) > radius - 1.1 * CIRCLE_TOLERANCE_M


@pytest.mark.parametrize(("clockwise", "middle"), [(True, 45.0), (False, 225.0)])
def test_an_arc_goes_the_way_it_is_told(clockwise, middle):
    points = arc([CENTRE, NORTH, EAST], 111.3, clockwise)
    bearings = [to(CENTRE, point)["azi1"] % 360 for point in points]
    assert bearings[0] == pytest.approx(0.0, abs=0.01)
    assert bearings[-1] == pytest.approx(90.0, abs=0.01)
    assert bearings[len(bearings) // 2] == pytest.approx(middle, abs=3)


def test_without_a_radius_the_second_point_gives_it():
    points = arc([CENTRE, NORTH])
    wanted = to(CENTRE, NORTH)["s12"]
    assert np.array([to(CENTRE, point)["s12"] for point in points]) == pytest.approx(wanted, abs=1e-6)


def test_a_circle_begins_at_the_point_that_gives_its_radius():
    points = arc([CENTRE, EAST])
    assert to(points[0], EAST)["s12"] < 1e-6
    assert (points[-1] == points[0]).all()


@pytest.mark.parametrize(("given", "radius"), [([], 5.0), ([CENTRE], math.nan), ([CENTRE], 0.0), ([CENTRE], 2e6)])
def test_what_gives_no_circle_gives_none(given, radius):
    assert arc(given, radius) is None
