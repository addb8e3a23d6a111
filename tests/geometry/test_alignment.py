"""Shifts against those that were made, and Student's t against its table."""

import math

import numpy as np
import pytest

from taskdata.geometry.alignment import estimate, estimate_alike, student
from tests.heavy import HEAVY

SHIFT = np.array([1.3, -0.8])


def lanes(random, *, count=8, noise=0.02, bias=0.0, degrees=0.0):
    """Passes to and fro each 6 m, 150 m long."""
    turn = np.radians(degrees)
    rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    found = []
    for index in range(count):
        y = np.arange(0.0, 150.0, 3.0)
        line = np.column_stack([np.full(len(y), 6.0 * index), y])[:: 1 if index % 2 else -1] @ rotation
        found.append(line + random.normal(0.0, noise, line.shape) + random.normal(0.0, 1.0, 2) * bias)
    return found


def heads(random, **options):
    """Passes across the others."""
    return [line - np.array([0.0, 60.0]) for line in lanes(random, degrees=90.0, **options)]


def test_an_exact_copy_is_found_exactly():
    random = np.random.default_rng(1)
    fixed = [*lanes(random, noise=0.0), *heads(random, noise=0.0)]
    found = estimate([line - SHIFT for line in fixed], fixed, reach=2.9)
    assert (found.east, found.north) == pytest.approx(SHIFT, abs=1e-6)
    assert found.undetermined == ()


@pytest.mark.parametrize("degrees", [0.0, 30.0])
def test_along_parallel_lines_nothing_is_known(degrees):
    random = np.random.default_rng(2)
    fixed = lanes(random, degrees=degrees)
    moving = [line - SHIFT for line in lanes(random, degrees=degrees)]
    found = estimate(moving, fixed, reach=2.9)
    turn = np.radians(degrees)
    across = np.array([np.cos(turn), -np.sin(turn)])
    assert np.abs(found.axes[0].direction) == pytest.approx(np.abs(across), abs=0.01)
    assert found.axes[0].value * np.sign(found.axes[0].direction @ across) == pytest.approx(SHIFT @ across, abs=0.02)
    assert found.axes[1].value is None
    assert found.axes[1].standard_error is None
    assert found.axes[1].uncertainty is None
    assert len(found.undetermined) == 1
    assert found.north is None
    if degrees:
        assert found.east is None
    else:
        assert found.east == pytest.approx(SHIFT[0], abs=0.02)
    assert found.vector == pytest.approx(across * (SHIFT @ across), abs=0.02)


def test_a_ring_determines_both_directions():
    angle = np.radians([0, 70, 130, 200, 290, 360])
    corners = 80.0 * np.column_stack([np.sin(angle), np.cos(angle)])
    found = estimate([corners - SHIFT], [corners], independent=20.0)
    assert (found.east, found.north) == pytest.approx(SHIFT, abs=1e-3)


def test_points_determine_both_directions():
    points = np.random.default_rng(4).uniform(0.0, 200.0, (12, 1, 2))
    found = estimate(list(points - SHIFT), list(points))
    assert (found.east, found.north) == pytest.approx(SHIFT, abs=1e-9)


def test_what_has_no_counterpart_does_not_count():
    random = np.random.default_rng(5)
    fixed = [*lanes(random), *heads(random)]
    moving = [line - SHIFT for line in fixed]
    strangers = [line - np.array([2.1, 1.7]) for line in (*lanes(random, count=2), *heads(random, count=2))]
    found = estimate([*moving, *strangers], fixed, reach=2.9)
    assert (found.east, found.north) == pytest.approx(SHIFT, abs=0.01)


def test_matched_lines_may_be_shifted_by_more_than_their_distance():
    random = np.random.default_rng(6)
    fixed = [*lanes(random), *heads(random)]
    far = np.array([8.0, 5.0])
    found = estimate([line - far for line in fixed], fixed, matched=True, reach=12.0)
    assert (found.east, found.north) == pytest.approx(far, abs=1e-4)
    with pytest.raises(ValueError, match="matched"):
        estimate(fixed[:3], fixed, matched=True)


def test_one_line_alone_has_no_standard_error():
    line = np.array([(0.0, 0.0), (0.0, 100.0)])
    found = estimate([line - np.array([-0.5, 0.0])], [line])
    assert found.east == pytest.approx(-0.5)
    assert found.axes[0].standard_error is None


def test_without_counterparts_there_is_no_shift():
    line = np.array([(0.0, 0.0), (0.0, 100.0)])
    assert estimate([line - np.array([500.0, 0.0])], [line]) is None
    assert estimate([], [line]) is None
    assert estimate([line], []) is None
    assert estimate([np.empty((0, 2))], [line]) is None
    random = np.random.default_rng(1)
    fixed = [*lanes(random, noise=0.0), *heads(random, noise=0.0)]
    moving = [np.empty((0, 2)), *(line - SHIFT for line in fixed)]
    found = estimate(moving, fixed, reach=2.9)
    assert (found.east, found.north) == pytest.approx(SHIFT, abs=1e-6)


def test_the_truth_lies_within_the_uncertainty_for_95_percent_of_seeds():
    """Both sets have noise at each record, and each line errs as a whole as satellite fixes do."""
    hits, count = np.zeros(2), 200 if HEAVY else 40
    for seed in range(count):
        random = np.random.default_rng(seed)
        fixed = [*lanes(random), *heads(random, count=6)]
        moving = [*lanes(random, bias=0.04), *heads(random, count=6, bias=0.04)]
        found = estimate([line - SHIFT for line in moving], fixed, reach=2.9, step=10.0)
        for index, axis in enumerate(found.axes):
            hits[index] += abs(axis.value - SHIFT @ axis.direction) <= axis.uncertainty
    assert (hits >= 0.95 * count).all(), hits


def test_the_covariance_has_the_standard_errors_of_its_axes():
    random = np.random.default_rng(8)
    fixed = [*lanes(random), *heads(random)]
    found = estimate([line - SHIFT for line in lanes(random) + heads(random)], fixed, reach=2.9)
    for axis in found.axes:
        way = np.array(axis.direction)
        assert way @ found.covariance @ way == pytest.approx(axis.standard_error**2)


@pytest.mark.parametrize(
    ("freedom", "value"), [(1, 12.706), (2, 4.303), (3, 3.182), (4, 2.776), (5, 2.571), (10, 2.228), (30, 2.042)]
)
def test_student(freedom, value):
    """Abramowitz and Stegun, table 26.10, column 0.95."""
    assert student(freedom) == pytest.approx(value, abs=0.004)


def test_student_needs_a_degree_of_freedom():
    assert student(0) == math.inf


@pytest.mark.parametrize("seed", range(3))
def test_lines_that_moved_alike_have_the_shift_that_a_search_finds(seed):
    random = np.random.default_rng(seed)
    turns = np.linspace(0.0, 2.0 * np.pi, 41)
    circle = 90.0 * np.column_stack([np.cos(turns), np.sin(turns)])
    circle[-1] = circle[0]
    moving = [circle + random.uniform(-900.0, 900.0, 2) for _ in range(20)]
    fixed = [line + np.array([0.4, -0.5]) + random.normal(0.0, 0.004, 2) for line in moving]
    searched, found = estimate(moving, fixed, matched=True, reach=50.0), estimate_alike(moving, fixed)
    assert found.vector == pytest.approx(searched.vector, abs=1e-5)
    assert found.covariance == pytest.approx(searched.covariance, rel=0.02)
    assert estimate_alike(moving[:1], [moving[0] + np.array([3.0, 0.0])]).vector == pytest.approx((3.0, 0.0), abs=1e-9)
    points = [line[:1] for line in moving]
    assert estimate_alike(points, [point + np.array([1.0, 2.0]) for point in points]).vector == pytest.approx(
        (1.0, 2.0)
    )
    assert estimate_alike([], []) is None
