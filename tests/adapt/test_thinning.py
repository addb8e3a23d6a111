"""Thinned rings and lines move by no more than is told, and never come to cross."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from taskdata.adapt.receivers import to_receiver
from taskdata.adapt.thinning import kept_of
from taskdata.errors import TargetError
from taskdata.model.receiver import Receiver
from tests.adapt.sets import made, whats
from tests.adapt.test_receivers import left

metres = st.floats(-500, 500).map(lambda value: round(value, 3))  # shapely warns where squares of much less vanish
courses = st.lists(st.tuples(metres, metres), min_size=3, max_size=60)


@given(courses, st.integers(4, 20), st.booleans())
def test_a_thinned_course_moves_by_no_more_than_stated(
    points: list[tuple[float, float]], most: int, ring: bool
) -> None:
    """Hausdorff distance by shapely, both ways."""
    course = np.array([*points, points[0]] if ring else points)
    kept, moved = kept_of([course], [most])[0]
    assert len(kept) <= max(most, 2)
    assert kept[0] == 0
    assert kept[-1] == len(course) - 1
    before, after = shapely.LineString(course), shapely.LineString(course[kept])
    assert shapely.hausdorff_distance(after, before, densify=0.02) <= moved + 0.02 * before.length + 1e-6
    assert all(after.distance(shapely.Point(point)) <= moved + 1e-6 for point in course)


def test_the_points_that_stay_are_those_that_lie_farthest_off() -> None:
    """Distances of a point to a line through two others, by their areas."""
    course = np.array([[0, 0], [1, 0], [2, 0], [3, 0.5], [4, 0]], dtype=float)
    kept, moved = kept_of([course], [3])[0]
    assert kept.tolist() == [0, 3, 4]
    assert moved == pytest.approx(2 * 0.5 / np.hypot(3, 0.5), rel=2e-6)
    kept, moved = kept_of([course], [2])[0]
    assert (kept.tolist(), moved) == ([0, 4], pytest.approx(0.5, rel=2e-6))


def test_what_fits_stays_as_it_is_and_so_does_a_place_that_comes_twice() -> None:
    course = np.array([[0, 0], [5, 5], [0, 0], [9, 0], [9, 9], [0, 0]], dtype=float)
    assert kept_of([course], [6])[0] == (pytest.approx(np.arange(6)), 0.0)
    kept, _ = kept_of([course], [5])[0]
    assert kept[[0, -1]].tolist() == [0, 5]
    assert (np.diff(kept) > 0).all()


@given(st.lists(courses, min_size=1, max_size=4), st.integers(2, 20))
def test_lines_thinned_side_by_side_keep_what_geos_keeps_of_each(
    lines: list[list[tuple[float, float]]], most: int
) -> None:
    """At a tolerance that is above what was needed, and below what the next point to stay has."""
    found = kept_of([np.array(line) for line in lines], [most] * len(lines))
    for line, (kept, moved) in zip(lines, found, strict=True):
        if len(line) > most:
            numbered = shapely.LineString([(*point, at) for at, point in enumerate(line)])
            slim = shapely.simplify(numbered, moved * (1.0 + 5e-7) + 5e-10, preserve_topology=False)
            assert shapely.get_coordinates(slim, include_z=True)[:, 2].tolist() == kept.tolist()


def ring_of(points: list[tuple[float, float]], kind: int) -> str:
    """Return a ring of points in metres east and north of a place, by geographiclib."""
    written_points = []
    for east, north in [*points, points[0]]:
        azimuth, distance = np.degrees(np.arctan2(east, north)), float(np.hypot(east, north))
        there = Geodesic.WGS84.Direct(54.3, 7.0, azimuth, distance)
        written_points.append(f'<PNT A="2" C="{there["lat2"]:.9f}" D="{there["lon2"]:.9f}"/>')
    return f'<LSG A="{kind}">{"".join(written_points)}</LSG>'


BUMPED = [(0, 0), (100, 0), (100, 49), (100.3, 50), (100, 51), (100, 100), (0, 100)]


def test_a_ring_is_not_thinned_across_another() -> None:
    """A bump of 0.3 m around the edge of a hole may not go, a bump without a hole may."""
    thin = Receiver({"limits.points_in_ring": 5})
    field = '<PFD A="PFD1" C="Kuhle" D="10000"><PLN A="1">{}</PLN></PFD>'
    result, ledger = to_receiver(made(4, field.format(ring_of(BUMPED, 1))), thin)
    assert left(result, thin) == []
    assert "it moves by 0.300 m at most" in whats(ledger)
    hole = ring_of([(100.1, 49.9), (99, 49), (99, 51), (100.1, 50.1)], 2)
    with pytest.raises(TargetError, match=r"would cross another ring with 5 points of PFD1 partfield 'Kuhle'"):
        to_receiver(made(4, field.format(ring_of(BUMPED, 1) + hole)), thin)


def test_a_ring_without_ground_is_thinned_too() -> None:
    """Its points lie on one meridian, so that fewer than a ring needs are left."""
    steps = (0, 1, 2, 3, 4, 5, 0)
    there = "".join(f'<PNT A="2" C="{54 + step / 10_000}" D="7"/>' for step in steps)
    document = made(4, f'<PFD A="PFD1" C="Kuhle" D="0"><PLN A="1"><LSG A="1">{there}</LSG></PLN></PFD>')
    result, ledger = to_receiver(document, Receiver({"limits.points_in_ring": 4}))
    ring = next(item for item in result.walk() if item.tag == "LSG")
    assert ring.coordinates()[:, 1].tolist() == [54.0, 54.0005, 54.0]
    assert "is thinned from 7 to 3 points; it moves by 0.000 m at most" in whats(ledger)


def test_a_circle_keeps_its_centre() -> None:
    """D.30: a pivot is its centre, and an arc from A to B where it is no full circle."""
    points = '<PNT A="8" C="54.3" D="7"/><PNT A="6" C="54.3" D="7"/><PNT A="7" C="54.31" D="7"/>'
    pattern = f'<GPN A="GPN1" C="4"><LSG A="5">{points}</LSG></GPN>'
    document = made(4, f'<PFD A="PFD1" C="x" D="0"><GGP A="GGP1">{pattern}</GGP></PFD>')
    with pytest.raises(TargetError, match="would lose its A, B or centre"):
        to_receiver(document, Receiver({"limits.points_in_line": 2}))


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), most=st.integers(6, 40))
def test_a_boundary_moves_by_no_more_than_the_ledger_says(seed: int, most: int) -> None:
    """Hausdorff distance by shapely, densified, of both rings in metres by geographiclib."""
    rng = np.random.default_rng(seed)
    corners = np.array([(0, 0), (200, 0), (200, 300), (0, 300), (0, 0)], dtype=float)
    sides = [start + np.sort(rng.uniform(0.01, 0.99, 10))[:, None] * (end - start) for start, end in pairwise(corners)]
    wavy = [
        np.vstack([start, side + rng.uniform(-0.2, 0.2, side.shape)])
        for start, side in zip(corners[:-1], sides, strict=True)
    ]
    body = f'<PFD A="PFD1" C="x" D="0"><PLN A="1">{ring_of(np.vstack(wavy).tolist(), 1)}</PLN></PFD>'
    document, receiver = made(4, body), Receiver({"limits.points_in_ring": most})
    result, ledger = to_receiver(document, receiver)
    assert left(result, receiver) == []
    moved = float(next(loss.what for loss in ledger if "it moves by" in loss.what).split("it moves by ")[1].split()[0])
    before, after = (next(item for item in side.walk() if item.tag == "LSG") for side in (document, result))
    lines = [shapely.LineString(metres(ring.coordinates())) for ring in (before, after)]
    assert shapely.hausdorff_distance(*lines, densify=0.002) <= moved + 0.002
    assert moved <= 0.5


def metres(places: NDArray[np.float64]) -> list[tuple[float, float]]:
    """Return metres east and north of a place, by geographiclib."""
    found = []
    for lon, lat in places:
        way = Geodesic.WGS84.Inverse(54.3, 7.0, lat, lon)
        turn = np.radians(way["azi1"])
        found.append((way["s12"] * np.sin(turn), way["s12"] * np.cos(turn)))
    return found
