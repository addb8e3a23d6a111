"""The nearest segment of a line, against the distances that shapely finds to each of them."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from taskdata.geometry.nearest_segments import nearest_segments


@pytest.mark.parametrize("bend", [0.1, 1.0, 3.0])
@pytest.mark.parametrize("extended", [0.0, 1e5])
def test_none_is_nearer(bend: float, extended: float) -> None:
    random = np.random.default_rng(20261130)
    for count in (1, 2, 7, 80):
        line = np.cumsum(random.normal((0.0, 2.0), (0.5, bend), (count + 1, 2)), axis=0)
        segments = np.stack([line[:-1], line[1:]], axis=1)
        first, last = (np.diff(segments[at], axis=0)[0] for at in (0, -1))
        segments[0, 0] -= extended * first / np.hypot(*first)
        segments[-1, 1] += extended * last / np.hypot(*last)
        points = random.uniform((-15.0, -20.0), (15.0, 2.0 * count + 20.0), (200, 2))
        every = shapely.distance(shapely.points(points)[:, np.newaxis], shapely.linestrings(segments))
        found = nearest_segments(points, segments)
        assert every[np.arange(len(points)), found] == pytest.approx(every.min(axis=1), rel=1e-9, abs=1e-7)


def test_a_line_that_turns_back_is_searched_as_a_whole() -> None:
    hook = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 5.0], [0.0, 5.0], [30.0, 5.1]])
    segments = np.stack([hook[:-1], hook[1:]], axis=1)
    points = np.array([[3.0, 0.4], [3.0, 4.0], [25.0, 5.0], [10.2, 2.0]])
    assert nearest_segments(points, segments).tolist() == [0, 2, 3, 1]


def test_no_point_has_no_segment() -> None:
    assert nearest_segments(np.empty((0, 2)), np.array([[[0.0, 0.0], [1.0, 0.0]]])).tolist() == []
