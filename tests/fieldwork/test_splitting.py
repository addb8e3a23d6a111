"""Passes told from a track: by turns, by work state, by pauses."""

import numpy as np
import pytest

from taskdata.fieldwork.driving.splitting import split
from tests.fieldwork.lindhollen import serpentine


def test_each_run_between_turns_is_a_pass():
    track, seconds = serpentine([0.0, 6.0, 12.0, 18.0])
    passes = split(track, seconds)
    assert len(passes) == 4
    assert [round(item.points[:, 0].mean()) for item in passes] == [0, 6, 12, 18]
    assert all(180.0 < item.length_m <= 200.0 for item in passes)
    assert [item.first < item.last for item in passes] == [True] * 4


def test_noise_makes_no_passes():
    track, seconds = serpentine([0.0, 6.0, 12.0])
    noisy = track + np.random.default_rng(1).normal(0.0, 0.03, track.shape)
    assert len(split(noisy, seconds)) == 3


def test_a_circle_is_one_pass_and_a_corner_makes_two():
    angle = np.linspace(0.0, 2.0 * np.pi, 600)
    assert len(split(100.0 * np.column_stack([np.cos(angle), np.sin(angle)]))) == 1
    leg = np.arange(0.0, 100.0)
    corner = np.vstack([np.column_stack([0.0 * leg, leg]), np.column_stack([leg, 0.0 * leg + 100.0])])
    assert len(split(corner)) == 2


def test_reversing_ends_a_pass():
    y = np.concatenate([np.arange(0.0, 100.0, 0.5), np.arange(100.0, 40.0, -0.5)])
    assert len(split(np.column_stack([0.0 * y, y]))) == 2


def test_work_state_and_pauses_end_a_pass():
    y = np.arange(0.0, 200.0, 0.5)
    track = np.column_stack([0.0 * y, y])
    seconds = y / 2.5
    working = np.ones(len(y), dtype=bool)
    assert len(split(track, seconds, working)) == 1
    working[100:140] = False
    assert [round(item.length_m) for item in split(track, seconds, working)] == [50, 130]
    later = seconds + np.where(np.arange(len(y)) > 200, 60.0, 0.0)
    assert len(split(track, later)) == 2
    lost = track.copy()
    lost[200] = np.nan
    assert len(split(lost, seconds)) == 2


@pytest.mark.parametrize("points", [[], [(0.0, 0.0)], [(0.0, 0.0)] * 5, [(np.nan, 0.0)] * 4, [(0.0, 0.0), (0.0, 3.0)]])
def test_what_makes_no_pass(points):
    assert split(points) == ()


def test_times_belong_to_points():
    with pytest.raises(ValueError, match="as many"):
        split([(0.0, 0.0), (0.0, 50.0)], [0.0])
