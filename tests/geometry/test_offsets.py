"""Parallels against closed forms and the distance GEOS measures."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from taskdata.geometry.offsets import clipped, extended, parallel


def ring(radius, degrees, count):
    """A circular line that turns to the right, from the west northwards."""
    angle = np.radians(np.linspace(0.0, degrees, count))
    return radius * np.column_stack([-np.cos(angle), np.sin(angle)])


def test_a_straight_line():
    (found,) = parallel([(0.0, 0.0), (30.0, 40.0)], 5.0)
    assert found == pytest.approx(np.array([(4.0, -3.0), (34.0, 37.0)]))
    (left,) = parallel([(0.0, 0.0), (30.0, 40.0)], -5.0)
    assert left == pytest.approx(np.array([(-4.0, 3.0), (26.0, 43.0)]))


def test_no_distance_and_extension():
    (found,) = parallel([(0.0, 0.0), (0.0, 0.0), (0.0, 10.0)], 0.0, extend=5.0)
    assert found.tolist() == [[0.0, -5.0], [0.0, 15.0]]
    (beside,) = parallel([(0.0, 0.0), (0.0, 10.0)], 2.0, extend=5.0)
    assert beside == pytest.approx(np.array([(2.0, -5.0), (2.0, 15.0)]))
    assert extended([(0.0, 0.0), (0.0, 10.0), (10.0, 10.0)], 3.0, 4.0).tolist() == [[0, -3], [0, 10], [14, 10]]


@pytest.mark.parametrize(("distance", "radius"), [(6.0, 34.0), (-6.0, 46.0), (39.0, 1.0)])
def test_a_circle_has_circles_as_parallels(distance, radius):
    (found,) = parallel(ring(40.0, 180.0, 361), distance)
    sizes = np.hypot(*found[1:-1].T)  # the ends lie on the perpendiculars of the first and the last chord
    assert sizes == pytest.approx(np.full(len(sizes), radius), abs=0.003)
    assert found[0] == pytest.approx((-radius, 0.0), abs=math.sin(math.radians(0.25)) * abs(distance) + 1e-6)
    assert paths_right(found)


def paths_right(line):
    """Whether the line still runs clockwise."""
    return sum(a[0] * b[1] - a[1] * b[0] for a, b in pairwise(line)) < 0.0


def test_beyond_the_middle_of_a_circle_there_is_no_parallel():
    assert parallel(ring(10.0, 360.0, 181), 10.5) == []


def test_a_corner_is_an_arc_outside_and_a_crossing_inside():
    line = [(0.0, 0.0), (0.0, 20.0), (20.0, 20.0)]
    (inside,) = parallel(line, 3.0)
    assert inside == pytest.approx(np.array([(3.0, 0.0), (3.0, 17.0), (20.0, 17.0)]))
    (outside,) = parallel(line, -3.0)
    assert shapely.LineString(outside).length == pytest.approx(40.0 + 3.0 * math.pi / 2.0, abs=0.002)
    bend = outside[(outside[:, 0] < -1e-6) & (outside[:, 1] > 20.0 + 1e-6)]
    assert np.hypot(*(bend - (0.0, 20.0)).T) == pytest.approx(np.full(len(bend), 3.0), abs=0.0011)


def test_the_loop_of_a_tight_bend_is_cut_away():
    """A half turn of radius 4 m between two straights: 6 m inside, only what runs towards its middle is left."""
    bend = ring(4.0, 180.0, 91)
    line = np.vstack([[(-4.0, -50.0)], bend, [(4.0, -50.0)]])
    assert parallel(line, 6.0) == []
    (near,) = parallel(line, 3.0)
    assert shapely.LineString(near).is_simple
    wide = np.array([(0.0, 0.0), (0.0, 30.0), (1.0, 33.0), (3.0, 35.0), (6.0, 36.0), (40.0, 36.0)])
    (cut,) = parallel(wide, 15.0)
    assert shapely.LineString(cut).is_simple
    assert cut[[0, -1]] == pytest.approx(np.array([(15.0, 0.0), (40.0, 21.0)]))
    assert len(cut) == 3


def test_a_line_that_comes_near_itself_leaves_several_pieces():
    """Two sides 14 m apart with a waist of 8 m: 5 m inside, the way in and out before it, and a ring beyond it."""
    left = [(0.0, 0.0), (0.0, 40.0), (3.0, 43.0), (3.0, 60.0), (0.0, 63.0), (0.0, 100.0)]
    line = np.array([*left, *((14.0 - x, y) for x, y in reversed(left))])
    before, beyond = parallel(line, 5.0)
    assert before[[0, -1]] == pytest.approx(np.array([(5.0, 0.0), (9.0, 0.0)]))
    assert before[:, 1].max() < 43.0
    assert shapely.LineString(beyond).is_ring
    assert beyond[:, 1].min() > 60.0
    assert beyond[:, 1].max() == pytest.approx(95.0)


@given(st.integers(0, 2**32 - 1), st.integers(3, 30), st.floats(0.0, 1.0), st.sampled_from([-7.0, -2.5, 1.0, 12.0]))
def test_every_parallel_keeps_its_distance(seed, count, wildness, distance):
    random = np.random.default_rng(seed)
    heading = np.cumsum(random.normal(0.0, 0.1 + 2.0 * wildness, count))
    steps = np.column_stack([np.sin(heading), np.cos(heading)]) * random.uniform(0.5, 9.0, (count, 1))
    line = np.cumsum(steps, axis=0)
    source = shapely.LineString(line)
    for piece in parallel(line, distance):
        places = shapely.line_interpolate_point(shapely.LineString(piece), np.linspace(0.01, 0.99, 60), normalized=True)
        away = shapely.distance(source, places)
        assert away.min() >= abs(distance) - 1e-3
        assert away.max() <= abs(distance) + 1.1e-3


def test_a_noisy_curve_far_away_is_one_line():
    """Radius 200 m at the bends and 300 m to the side, with 2 cm of noise at each metre: hundreds of loops to cut."""
    x = np.arange(0.0, 1000.0)
    noise = np.random.default_rng(0).normal(0.0, 0.02, len(x))
    line = np.column_stack([x, 40.0 * np.sin(x / 90.0) + noise])
    for distance in (300.0, -300.0):
        (found,) = parallel(line, distance, extend=50.0)
        assert shapely.LineString(found).is_simple
        ends = extended(line, 50.0, 50.0)[[0, -1]]
        assert np.hypot(*(found[[0, -1]] - ends).T) == pytest.approx([300.0, 300.0])


def test_parallels_of_a_curve_side_by_side_lie_a_width_apart():
    x = np.linspace(0.0, 300.0, 301)
    curve = np.column_stack([x, 20.0 * np.sin(x / 50.0)])
    lines = [parallel(curve, 6.0 * number)[0] for number in range(-5, 6)]
    for one, other in pairwise(lines):
        inner = shapely.line_interpolate_point(shapely.LineString(other), np.linspace(0.2, 0.8, 50), normalized=True)
        assert shapely.distance(shapely.LineString(one), inner) == pytest.approx(np.full(50, 6.0), abs=0.005)


def test_clipping_leaves_holes_out_and_keeps_the_direction():
    field = shapely.box(0.0, 0.0, 100.0, 100.0).difference(shapely.box(40.0, 40.0, 60.0, 60.0))
    found = clipped([(50.0, 120.0), (50.0, -20.0)], field)
    assert [part.tolist() for part in found] == [[[50, 100], [50, 60]], [[50, 40], [50, 0]]]
    assert clipped([(100.0, 150.0), (150.0, 100.0)], field) == []
    assert clipped([(100.0, -5.0), (105.0, 0.0), (100.0, 5.0), (110.0, 5.0)], field) == []


@pytest.mark.parametrize("line", [[], [(1.0, 1.0)], [(1.0, 1.0), (1.0, 1.0)]])
def test_a_line_needs_a_length(line):
    for work in (
        lambda: parallel(line, 1.0),
        lambda: extended(line, 1.0, 1.0),
        lambda: clipped(line, shapely.box(0, 0, 1, 1)),
    ):
        with pytest.raises(ValueError, match="two different points"):
            work()
