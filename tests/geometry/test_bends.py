"""Paths that follow their bends between their points."""

from __future__ import annotations

import numpy as np
import pytest

from taskdata.geometry.bends import refined


def free(path):
    return np.zeros(len(path) - 1, dtype=bool)


@pytest.mark.parametrize("step", [0.5, 2.0, 5.0, 12.0])
@pytest.mark.parametrize("radius", [8.0, -40.0])
def test_a_circle_is_met_however_far_its_points_lie_apart(radius: float, step: float) -> None:
    angle = np.arange(0.0, 60.0, step) / radius
    path = np.column_stack([radius - radius * np.cos(angle), radius * np.sin(angle)])
    found = refined(path, free(path))
    off = np.hypot(found.points[:, 0] - radius, found.points[:, 1]) - abs(radius)
    middles = (found.points[1:] + found.points[:-1]) / 2.0
    chords = abs(radius) - np.hypot(middles[:, 0] - radius, middles[:, 1])
    assert np.abs(off).max() < 1e-9
    assert chords.max() < 0.0101
    assert (found.points[np.isin(found.at, np.arange(len(path)))] == path).all()


def test_straights_and_corners_stay_as_they_are() -> None:
    corner = np.array([(0.0, 0.0), (0.0, 5.0), (0.0, 10.0), (5.0, 10.0), (10.0, 10.0)])
    assert (refined(corner, free(corner)).points == corner).all()
    to_and_fro = np.array([(0.0, 0.0), (0.1, 5.0), (0.0, 10.0), (0.1, 15.0)])
    assert (refined(to_and_fro, free(to_and_fro)).points == to_and_fro).all()


def test_steps_that_are_closed_are_not_bent_and_halves_are_made_where_wanted() -> None:
    angle = np.arange(8) * 0.5
    path = 10.0 * np.column_stack([1.0 - np.cos(angle), np.sin(angle)])
    closed = np.ones(7, dtype=bool)
    halved = np.arange(7) == 3
    found = refined(path, closed, halved)
    assert found.at.tolist() == [0.0, 1.0, 2.0, 3.0, 3.5, 4.0, 5.0, 6.0, 7.0]
    assert found.points[4] == pytest.approx((path[3] + path[4]) / 2.0)
    assert 3.5 in refined(path, ~closed, halved).at


@pytest.mark.parametrize("count", [0, 1, 2])
def test_short_paths_are_no_failure(count: int) -> None:
    path = np.zeros((count, 2))
    assert len(refined(path, np.zeros(max(count - 1, 0), dtype=bool)).points) == count
