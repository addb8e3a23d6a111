"""Rough facts of courses beside shapely, which decides about validity, and geodesics of PROJ."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from pyproj import Geod

from taskdata.geometry import course_facts as module
from taskdata.geometry.arrays import Points
from taskdata.geometry.course_facts import FOLD_DEGREES, ROUGH, course_facts

GEOD = Geod(ellps="WGS84")
CLOSE = 1.5 * ROUGH


def star(seed: int, count: int, *, clockwise: bool = False, least: float = 0.3) -> Points:
    """Return a ring about a place in the temperate zone that its middle sees, or nearly so."""
    made = np.random.default_rng(seed)
    angles = np.sort(made.uniform(0.0, 2.0 * np.pi, count))
    radius = made.uniform(least, 1.0, count) * 0.002
    middle = made.uniform([-170.0, 30.0], [170.0, 60.0])
    ring = middle + np.column_stack([radius * np.cos(angles), radius * np.sin(angles)])
    return ring[::-1] if clockwise else ring


def closed(ring: Points) -> Points:
    return np.vstack([ring, ring[:1]])


RINGS = [star(seed, 3 + seed % 40, clockwise=bool(seed % 2)) for seed in range(200)]


def test_lengths_areas_and_extents_are_those_of_geodesics() -> None:
    facts = course_facts([closed(ring) for ring in RINGS], are_rings=True)
    assert facts.is_plain.all()
    assert facts.is_closed.all()
    for at, ring in enumerate(RINGS):
        lon, lat = closed(ring).T
        steps = GEOD.line_lengths(lon, lat)
        area, around = GEOD.polygon_area_perimeter(lon, lat)
        assert facts.sizes[at] == len(ring)
        assert facts.shortest[at] == pytest.approx(min(steps), rel=CLOSE)
        assert facts.longest[at] == pytest.approx(max(steps), rel=CLOSE)
        assert facts.around[at] == pytest.approx(around, rel=CLOSE)
        assert abs(facts.areas[at] - abs(area)) <= facts.area_errors[at] + CLOSE * abs(area)
        assert facts.extents[at].tolist() == list(shapely.bounds(shapely.LineString(ring)))


def test_a_ring_without_its_first_point_at_the_end_is_closed_for_the_figures() -> None:
    shut, open_ = (course_facts([make(ring) for ring in RINGS], are_rings=True) for make in (closed, np.asarray))
    assert not open_.is_closed.any()
    for name in ("sizes", "shortest", "longest", "around", "areas", "folds", "is_simple", "extents"):
        assert np.array_equal(getattr(shut, name), getattr(open_, name)), name


def test_the_last_step_of_a_line_is_the_last_one() -> None:
    line = np.array([[9.0, 50.0], [9.001, 50.0], [9.001, 50.002], [9.0011, 50.002]])
    facts = course_facts([line], are_rings=False)
    steps = GEOD.line_lengths(*line.T)
    assert facts.sizes.tolist() == [4]
    assert facts.around[0] == pytest.approx(sum(steps), rel=CLOSE)
    assert (facts.shortest[0], facts.longest[0]) == pytest.approx((min(steps), max(steps)), rel=CLOSE)


@settings(deadline=None, max_examples=150)
@given(
    st.lists(st.tuples(st.integers(-4, 4), st.integers(-4, 4)), min_size=3, max_size=9),
    st.sampled_from([0.001, 0.00037, 1e-7]),
)
def test_a_ring_that_counts_as_simple_is_valid(corners: list[tuple[int, int]], unit: float) -> None:
    ring = np.array([9.0, 50.0]) + unit * np.array(corners)
    facts = course_facts([ring], are_rings=True)
    assert not facts.is_simple[0] or shapely.is_valid(shapely.Polygon(ring))


def test_most_rings_that_their_middle_sees_count_as_simple() -> None:
    convex = [star(seed, 30, least=0.9) for seed in range(100)]
    assert course_facts(convex, are_rings=True).is_simple.mean() > 0.8
    twice_around = [np.vstack([ring, ring[1:] + 1e-5]) for ring in convex]
    assert not course_facts(twice_around, are_rings=True).is_simple.any()


def test_folds_are_sharp_corners() -> None:
    facts = course_facts(RINGS, are_rings=True)
    for at, ring in enumerate(RINGS):
        metres = (ring - ring[0]) * [np.cos(np.radians(ring[:, 1].mean())), 1.0]
        back, ahead = np.roll(metres, 1, axis=0) - metres, np.roll(metres, -1, axis=0) - metres
        cosines = (back * ahead).sum(axis=1) / (np.hypot(*back.T) * np.hypot(*ahead.T))
        sharpest = np.degrees(np.arccos(np.clip(cosines, -1.0, 1.0))).min()
        if abs(sharpest - FOLD_DEGREES) > 0.2:
            assert facts.folds[at] == (sharpest < FOLD_DEGREES)


ODD = [
    np.empty((0, 2)),
    np.array([[9.0, 50.0]]),
    np.array([[9.0, 50.0], [np.nan, 50.1], [9.1, 50.1]]),
    np.array([[9.0, 50.0], [np.inf, 50.1], [9.1, 50.1]]),
    np.array([[179.9, 50.0], [-179.9, 50.1], [179.9, 50.1]]),
    np.array([[9.0, 85.0], [9.1, 85.0], [9.1, 85.1]]),
    np.array([[9.0, 40.0], [9.1, 50.0], [9.2, 40.0]]),
    np.array([[9.0, 91.0], [9.1, 91.0], [9.1, 91.1]]),
    np.array([[200.0, 50.0], [200.1, 50.0], [200.1, 50.1]]),
]


def test_nothing_is_said_of_courses_that_no_plane_holds() -> None:
    for are_rings in (True, False):
        facts = course_facts(ODD, are_rings=are_rings)
        assert facts.sizes.tolist() == list(map(len, ODD))
        assert not facts.is_plain.any()
        assert not facts.is_simple.any()
    across_equator = np.array([[9.0, -0.5], [9.5, -0.5], [9.5, 0.5], [9.0, 0.5]])
    assert course_facts([across_equator], are_rings=True).is_plain[0]


def test_it_makes_no_difference_how_many_are_looked_at_together(monkeypatch: pytest.MonkeyPatch) -> None:
    courses = [*ODD, *RINGS, *ODD]
    whole = course_facts(courses, are_rings=True)
    monkeypatch.setattr(module, "_PIECE", 25)
    parts = course_facts(courses, are_rings=True)
    for name in whole.__slots__:
        assert np.array_equal(getattr(whole, name), getattr(parts, name), equal_nan=name not in {"sizes"}), name
    assert not len(course_facts([], are_rings=True).sizes)
