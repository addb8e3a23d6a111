"""Bodies that follow a point of themselves, against closed forms of the tractrix."""

from __future__ import annotations

import math

import numpy as np
import pytest

from taskdata.geometry.paths import carried
from taskdata.geometry.tractrix import pulled, steady, trailed_heading
from tests.heavy import HEAVY


def steps(points):
    """Directions and lengths of the steps of a path."""
    step = np.diff(np.asarray(points, dtype=float), axis=0)
    return np.arctan2(step[:, 0], step[:, 1]), np.hypot(step[:, 0], step[:, 1])


def drawn(points, first: float, length: float):
    """Headings in radians of a body pulled along a path, whatever comes of it."""
    course, gone = steps(points)
    return pulled(first, course, gone / length)


def apart(one, other):
    return np.abs(np.remainder(np.asarray(one) - other + math.pi, 2.0 * math.pi) - math.pi)


def test_a_drawn_body_follows_the_tractrix():
    """Pulled along a line it stood at right angles to: x = L (t - tanh t), y = L sech t, the hitch at x = L t.

    Closed form of the tractrix, Huygens 1693; R. C. Yates, A Handbook on Curves and Their Properties (1952).
    """
    size, t = 5.0, np.linspace(0.0, 6.0, 50)
    hitch = np.column_stack([size * t, np.zeros(50)])
    found = carried(hitch, np.degrees(drawn(hitch, math.pi, size)), -size, 0.0)
    assert found[:, 0] == pytest.approx(size * (t - np.tanh(t)), abs=1e-9)
    assert found[:, 1] == pytest.approx(size / np.cosh(t), abs=1e-9)


def test_beside_a_straight_line_the_offset_dies_away_exponentially():
    """For small angles the axle comes back to the line of its hitch by exp(-way / length)."""
    hitch = np.column_stack([np.zeros(400), np.linspace(0.0, 30.0, 400)])
    offset = 6.0 * np.sin(drawn(hitch, 0.01, 6.0))
    assert offset == pytest.approx(offset[0] * np.exp(-hitch[:, 1] / 6.0), rel=1e-4)


def test_the_steps_of_a_straight_pull_do_not_matter():
    one = drawn([(0.0, 0.0), (3.0, 4.0)], 4.0, 4.0)[-1]
    many = drawn(np.linspace((0.0, 0.0), (3.0, 4.0), 1000), 4.0, 4.0)[-1]
    assert one == pytest.approx(many, abs=1e-9)


def circle(radius: float, turns: float, count: int):
    angle = np.linspace(0.0, 2.0 * math.pi * turns, count)
    return radius * np.column_stack([-np.cos(angle), np.sin(angle)]), angle


@pytest.mark.parametrize("length", [5.0, 2.0, -2.0])
def test_on_a_circle_the_axle_runs_on_the_root_of_radius_and_length(length: float):
    """The point at R, the axle at sqrt(R² - L²) about the same centre, whether the point is ahead or behind."""
    points, _ = circle(12.0, 3.0, 3000)
    course, gone = steps(points)
    bend = np.full(len(points), 1.0 / 12.0)
    for expected in (steady(np.append(course, course[-1]), bend, length), np.append(course, course[-1])):
        found = trailed_heading(course, gone, expected, length).heading
        axle = np.hypot(*carried(points, np.degrees(found), -length, 0.0).T)
        settled = slice(1000, 2000)
        assert axle[settled] == pytest.approx(math.sqrt(144.0 - length**2), abs=2e-3)


def test_pushed_backwards_a_drawn_body_swings_away():
    back = np.column_stack([np.zeros(21), -np.linspace(0.0, 10.0, 21)])
    found = apart(drawn(back, math.radians(1.0), 5.0), 0.0)
    assert (np.diff(found) > 0.0).all()
    assert math.tan(found[-1] / 2) == pytest.approx(math.tan(math.radians(0.5)) * math.exp(2.0))


@pytest.mark.parametrize("reverse_m", [1.0, 5.0, 40.0])
def test_in_reverse_a_body_is_followed_from_the_end(reverse_m: float):
    """Axle known: along a line, then back in a bend of 20 m, then on; its hitch 4 m ahead is all that is told."""
    forward = np.full(600, 0.05)
    back = np.full(round(reverse_m / 0.05), -0.05)
    gone = np.concatenate([forward, back, forward])
    bend = np.concatenate([forward * 0.0, back * 0.0 + 1.0 / 20.0, forward * 0.0])
    angle = np.concatenate([[0.0], np.cumsum(gone * bend)])
    middle = (angle[1:] + angle[:-1]) / 2.0
    way = np.column_stack([np.sin(middle), np.cos(middle)]) * gone[:, np.newaxis]
    axle = np.concatenate([[(0.0, 0.0)], np.cumsum(way, axis=0)])
    hitch = carried(axle, np.degrees(angle), 4.0, 0.0)
    course, size = steps(hitch)
    sign = np.sign(gone)
    found = trailed_heading(course + np.where(sign < 0.0, math.pi, 0.0), size * sign, angle + 0.1, 4.0)
    off = apart(found.heading, angle)
    assert off[300:600].max() < 0.01
    assert off[600 : 600 + len(back) // 2].max() < math.radians(2.0)
    assert off[-200:].max() < math.radians(1.0)
    assert (off <= 3.0 * found.spread + math.radians(0.5)).all()


def test_standing_does_not_turn_a_body_and_no_step_is_no_failure():
    assert drawn([(0.0, 0.0), (0.0, 0.0), (0.0, 0.0)], 0.3, 5.0) == pytest.approx([0.3] * 3)
    found = trailed_heading(np.empty(0), np.empty(0), np.array([0.3]), 5.0)
    assert found.heading.tolist() == [0.3]


def test_a_long_way_of_large_steps_stays_finite():
    random, count = np.random.default_rng(4), 3000 if HEAVY else 500
    points = np.cumsum(random.normal(0.0, 50.0, (count, 2)), axis=0)
    course, gone = steps(points)
    sign = np.where(random.random(count - 1) < 0.3, -1.0, 1.0)
    for length in (0.1, 3.0, -3.0):
        found = trailed_heading(course, gone * sign, np.zeros(count), length)
        assert np.isfinite(found.heading).all()
        assert np.isfinite(found.spread).all()


def test_where_no_circle_is_steady_the_heading_stays_within_a_quarter_turn():
    """A point that turns in less than the length: the heading that its sharpest circle has, to either side alike."""
    left, right = steady(np.zeros(2), np.array([-1.0, 1.0]), 3.0)
    assert left == -right
    assert math.radians(45.0) < left < math.radians(90.0)
    assert steady(np.zeros(1), np.array([0.1]), 3.0)[0] == pytest.approx(-math.asin(0.3))
