"""Swept quadrilaterals against closed forms and GEOS."""

import numpy as np
import pytest
import shapely
from hypothesis import given

from taskdata.geometry import sweeps
from tests.geometry.drives import around, bar, drives

NORTH = np.array([(0.0, 0.0), (0.0, 2.0), (0.0, 4.0)])


def test_a_straight_drive_sweeps_rectangles_with_common_edges():
    strips = bar(NORTH, np.zeros(3), [-3.0, -1.0, 3.0])
    found = sweeps.pieces(strips)
    assert found.interval.tolist() == [0, 0, 1, 1]
    assert found.strip.tolist() == [0, 1, 0, 1]
    assert sweeps.areas(found.quads).tolist() == [4.0, 8.0, 4.0, 8.0]
    assert (sweeps.motions(strips) == sweeps.FORWARDS).all()
    assert (strips.left[:, 1] == strips.right[:, 0]).all()


def test_the_state_at_a_record_holds_until_the_next():
    active = np.array([[True, False], [False, True], [True, True]])
    found = sweeps.pieces(bar(NORTH, np.zeros(3), [-1.0, 0.0, 1.0], active))
    assert list(zip(found.interval.tolist(), found.strip.tolist(), strict=True)) == [(0, 0), (1, 1)]


def test_edges_that_differ_by_rounding_become_one():
    widths = np.full(10, 0.1)
    middles = -0.45 + 0.1 * np.arange(10)
    left, right = middles - widths / 2, middles + widths / 2
    assert (left[1:] != right[:-1]).any()
    strips = sweeps.strips(NORTH, [10.0, 20.0, 30.0], left, right, np.ones((3, 10), dtype=bool))
    assert (strips.left[:, 1:] == strips.right[:, :-1]).all()


def test_strips_that_lie_ahead_or_apart_are_not_joined():
    strips = sweeps.strips(NORTH, np.zeros(3), [-1.0, 0.0], [0.0, 1.0], np.ones((3, 2), dtype=bool), forward=[0, -0.5])
    assert (strips.left[:, 1, 1] == strips.right[:, 0, 1] - 0.5).all()


@pytest.mark.parametrize("steps", [9, 90])
def test_a_turning_bar_sweeps_a_sector_of_an_annulus(steps):
    """Chords of step d give exactly (R² - r²)/2 sin d each; the sector with its arcs follows as d goes to 0."""
    strips = around(20.0, [-3.0, 0.0, 3.0], 90.0, steps)
    areas = np.bincount(sweeps.pieces(strips).strip, sweeps.areas(sweeps.pieces(strips).quads))
    step = np.pi / 2 / steps
    outer, inner = (23.0**2 - 20.0**2) / 2, (20.0**2 - 17.0**2) / 2
    assert areas == pytest.approx([outer * np.sin(step) * steps, inner * np.sin(step) * steps], rel=1e-12)
    assert areas == pytest.approx([outer * np.pi / 2, inner * np.pi / 2], rel=step**2 / 6)


def test_a_bar_that_turns_round_a_point_of_itself_is_split_there():
    """Turning to the right about a point 1 m from its right end and 2 m from its left one."""
    strips = around(0.5, [-1.5, 1.5], 180.0, 60)
    assert (sweeps.motions(strips) == sweeps.FOLDED).all()
    found = sweeps.pieces(strips)
    assert len(found.quads) == 120
    assert sweeps.areas(found.quads).sum() == pytest.approx((2.0**2 + 1.0**2) / 2 * np.sin(np.pi / 60) * 60, rel=1e-12)
    assert (sweeps.areas(found.quads) > 0.0).all()
    assert set(found.interval.tolist()) == set(range(60))


def test_a_bar_that_turns_round_its_end_sweeps_simple_triangles():
    strips = around(1.5, [-1.5, 1.5], 90.0, 9)
    strips.right[:] = 0.0
    assert (sweeps.motions(strips) == sweeps.FORWARDS).all()
    assert sweeps.areas(sweeps.pieces(strips).quads).sum() == pytest.approx(9.0 / 2 * np.sin(np.pi / 18) * 9)


def test_a_corner_on_the_other_place_of_the_bar_leaves_one_triangle():
    """The right end goes ahead while the left one slides to the middle of where the bar was."""
    strips = sweeps.Strips(
        np.array([[[0.0, 0.0]], [[1.0, 0.0]]]), np.array([[[2.0, 0.0]], [[2.0, 1.0]]]), np.ones((1, 1), bool)
    )
    assert sweeps.motions(strips)[0, 0] == sweeps.FOLDED
    assert sweeps.areas(sweeps.pieces(strips).quads).tolist() == [0.5]


def test_a_bar_that_turned_about_between_two_records_sweeps_both_triangles():
    strips = bar(NORTH[:2], [0.0, 180.0], [-1.0, 1.0])
    assert sweeps.motions(strips).tolist() == [[sweeps.FOLDED]]
    assert sweeps.areas(sweeps.pieces(strips).quads).tolist() == pytest.approx([1.0, 1.0])


def test_reversing_sweeps_as_much():
    strips = bar(NORTH[::-1], np.zeros(3), [-1.0, 1.0])
    assert (sweeps.motions(strips) == sweeps.BACKWARDS).all()
    assert sweeps.areas(sweeps.pieces(strips).quads).tolist() == [4.0, 4.0]


def test_standing_and_unknown_places_sweep_nothing():
    path = np.array([(0.0, 0.0), (0.0, 0.0), (np.nan, np.nan), (0.0, 4.0)])
    strips = bar(path, np.zeros(4), [-1.0, 0.0, 1.0])
    assert (sweeps.motions(strips) == sweeps.OFF).all()
    assert len(sweeps.pieces(strips).quads) == 0
    assert len(sweeps.pieces(bar(path[:1], [0.0], [-1.0, 1.0])).quads) == 0
    assert len(sweeps.pieces(bar(path[:0], [], [-1.0, 1.0])).quads) == 0


@given(drives())
def test_pieces_are_what_their_outlines_enclose(strips):
    """GEOS builds the area an outline encloses from its noded edges, whether it crosses itself or not."""
    found = sweeps.pieces(strips)
    corners = np.stack(
        [strips.right[:-1], strips.right[1:], strips.left[1:], strips.left[:-1], strips.right[:-1]], axis=2
    )
    outlines = shapely.make_valid(shapely.polygons(corners[strips.active]))
    assert sweeps.areas(found.quads).sum() == pytest.approx(float(shapely.area(outlines).sum()), rel=1e-9, abs=1e-12)
    by_interval = np.bincount(found.interval, sweeps.areas(found.quads), len(strips.active))
    owner = np.nonzero(strips.active)[0]
    assert by_interval == pytest.approx(np.bincount(owner, shapely.area(outlines), len(strips.active)), abs=1e-9)
