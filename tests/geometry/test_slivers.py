"""Slivers joined: against closed forms of rectangles and of circles."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from taskdata.geometry.pass_spacing import spacing
from taskdata.geometry.slivers import closed, joined, opened, without_holes


def test_slivers_with_chinks_become_one_polygon_of_the_area_between_their_sides():
    slivers = np.array([shapely.box(0.0, 2.0 * at, 12.0, 2.0 * at + 1.995) for at in range(100)], dtype=object)
    found = joined(slivers, 0.05)
    assert found.shape.geom_type == "Polygon"
    assert found.union_m2 == pytest.approx(100 * 12.0 * 1.995)
    assert found.area_m2 == pytest.approx(12.0 * 199.995, rel=1e-4)
    assert found.gap_m == 0.05
    assert len(found.shape.exterior.coords) < 500


def test_a_gap_that_would_change_the_area_by_more_than_is_allowed_stays_open():
    halves = np.array([shapely.box(0.0, 0.0, 10.0, 10.0), shapely.box(10.4, 0.0, 20.4, 10.0)], dtype=object)
    found = joined(halves, 0.5)
    assert found.gap_m < 0.4
    assert found.area_m2 == pytest.approx(200.0, rel=0.005)
    assert joined(halves, 0.5, kept=0.05).shape.geom_type == "Polygon"


def test_outlines_that_cross_themselves_count_with_both_their_loops():
    bow_tie = shapely.Polygon([(0.0, 0.0), (10.0, 0.0), (0.0, 10.0), (10.0, 10.0)])
    assert joined(np.array([bow_tie], dtype=object), 0.1).area_m2 == pytest.approx(50.0, rel=0.005)


def test_closing_fills_a_notch_up_to_its_width_and_keeps_the_corners():
    block = shapely.box(0.0, 0.0, 40.0, 20.0)
    notched = block.difference(shapely.box(18.0, 10.0, 21.0, 20.0))
    wide = closed(notched, 3.2)
    assert shapely.area(shapely.difference(block, wide)) < 3.0
    assert closed(notched, 1.0).area == pytest.approx(notched.area, abs=0.5)
    assert shapely.difference(closed(block, 6.0), block).area == pytest.approx(0.0, abs=1e-6)


def test_opening_takes_a_lane_away_and_rounds_corners_alone():
    ground = shapely.union_all([shapely.box(0.0, 0.0, 60.0, 60.0), shapely.box(60.0, 28.0, 200.0, 31.0)])
    found = opened(ground, 10.0)
    radius = 5.0
    assert found.area == pytest.approx(3600.0 - (4.0 - math.pi) * radius**2, rel=0.002)


def test_holes_stay_from_their_least_size_on():
    ground = shapely.Polygon(
        shapely.box(0, 0, 100, 100).exterior,
        [shapely.box(10, 10, 20, 20).exterior, shapely.box(40, 40, 60, 60).exterior],
    )
    assert without_holes(ground, 200.0).area == pytest.approx(10_000.0 - 400.0)


@pytest.mark.parametrize("apart", [6.0, 12.1, 36.0])
def test_spacing_of_passes_up_and_down(apart):
    ways = [np.column_stack([np.full(81, apart * at), np.linspace(0, 400, 81)[:: (-1) ** at]]) for at in range(6)]
    found = spacing([np.concatenate(ways)])
    assert found.metres == pytest.approx(apart, abs=0.01)
    assert found.spread_m < 0.1
    assert spacing(ways).metres == pytest.approx(apart, abs=0.01)


def test_one_pass_has_no_spacing():
    assert spacing([np.column_stack([np.zeros(80), np.linspace(0, 400, 80)])]) is None
    assert spacing([]) is None
