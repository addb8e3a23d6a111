"""Lines in a plane against closed forms and GEOS."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from taskdata.geometry import paths

CORNER = np.array([(0.0, 0.0), (3.0, 4.0), (3.0, 10.0)])


def test_lengths_and_places_along_a_line():
    assert paths.length(CORNER) == 11.0
    assert paths.distances(CORNER).tolist() == [0.0, 5.0, 11.0]
    assert paths.at_distance(CORNER, [-1.0, 2.5, 8.0, 99.0]).tolist() == [[0, 0], [1.5, 2], [3, 7], [3, 10]]
    assert paths.length([(1.0, 1.0)]) == 0.0
    assert len(paths.distances([])) == 0


def test_resampling_keeps_the_ends_and_equal_steps():
    found = paths.resample(CORNER, 2.0)
    assert found[0].tolist() == [0.0, 0.0]
    assert found[-1].tolist() == [3.0, 10.0]
    steps = np.diff([shapely.LineString(CORNER).project(shapely.Point(place)) for place in found])
    assert steps == pytest.approx(np.full(6, 11.0 / 6.0))
    assert paths.resample([(1.0, 2.0), (1.0, 2.0)], 2.0).tolist() == [[1.0, 2.0], [1.0, 2.0]]


@pytest.mark.parametrize(
    ("heading", "expected"),
    [(0, (1, 2)), (90, (2, -1)), (180, (-1, -2)), (270, (-2, 1)), (45, (3 / math.sqrt(2), 1 / math.sqrt(2)))],
)
def test_a_carried_point_turns_with_its_body(heading, expected):
    """Two metres ahead and one to the right; headings run clockwise from north."""
    found = paths.carried([(100.0, 200.0)], [heading], 2.0, 1.0)[0] - (100.0, 200.0)
    assert found == pytest.approx(expected, abs=1e-12)


def test_right_of_a_line_is_positive_and_its_ends_are_ends():
    line = [(0.0, 0.0), (0.0, 100.0)]
    found = paths.cross_track([(2.0, 50.0), (-3.0, 10.0), (1.0, -5.0), (1.0, 105.0), (np.nan, 0.0)], line)
    assert found.across.tolist() == pytest.approx([2.0, -3.0, np.nan, np.nan, np.nan], nan_ok=True)
    assert found.along.tolist() == pytest.approx([50.0, 10.0, np.nan, np.nan, np.nan], nan_ok=True)


def test_a_line_can_go_on_past_both_ends():
    line = [(0.0, 0.0), (30.0, 40.0)]
    found = paths.cross_track([(-30.0 + 4.0, -40.0 - 3.0), (60.0, 80.0)], line, extend=1000.0)
    assert found.across == pytest.approx([5.0, 0.0], abs=1e-12)
    assert found.along == pytest.approx([-50.0, 100.0])


def test_the_side_at_a_corner_is_that_of_both_its_steps():
    line = [(0.0, 0.0), (0.0, 10.0), (10.0, 0.0)]
    found = paths.cross_track([(0.1, 12.0), (-1.0, 10.3)], line)
    assert found.across[0] == pytest.approx(-math.hypot(0.1, 2.0))
    assert found.across[1] < 0.0


def test_the_path_between_records_counts_not_the_nearest_record():
    """A path along x = 0.1 with records each metre: the nearest record overstates a distance that is 0.1 throughout.

    That it does is the finding of Trans. ASABE 59(6):1609-1616 (2016).
    """
    path = np.column_stack([np.full(21, 0.1), np.arange(21.0)])
    places = np.column_stack([np.zeros(50), np.linspace(0.2, 19.8, 50)])
    assert paths.cross_track(places, path).across == pytest.approx(np.full(50, -0.1))
    nearest = np.sqrt(((places[:, np.newaxis] - path) ** 2).sum(axis=2)).min(axis=1)
    assert nearest.mean() > 0.2


@pytest.mark.parametrize("line", [[], [(1.0, 1.0)], [(1.0, 1.0), (1.0, 1.0)]])
def test_a_line_needs_a_length(line):
    with pytest.raises(ValueError, match="two different points"):
        paths.cross_track([(0.0, 0.0)], line)


@given(st.lists(st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=2, max_size=9, unique=True))
def test_distances_are_those_of_geos(line):
    places = np.random.default_rng(1).uniform(-60, 60, (40, 2))
    found = paths.cross_track(places, line)
    known = np.isfinite(found.across)
    shape = shapely.LineString(line)
    expected = shapely.distance(shape, shapely.points(places))
    assert np.abs(found.across[known]) == pytest.approx(expected[known], abs=1e-9)
    ends = shapely.points(np.array([line[0], line[-1]], dtype=float))
    for place, distance in zip(places[~known], expected[~known], strict=True):
        assert distance == pytest.approx(shapely.distance(ends, shapely.Point(place)).min(), abs=1e-9)
