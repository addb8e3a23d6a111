"""Coverage against closed forms, one GEOS union of all quadrilaterals, and a raster made here."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given

from taskdata.geometry import multiplicity, raster, sweeps
from taskdata.geometry.multiplicity import cover
from taskdata.geometry.ribbons import polygons, ribbons
from tests.geometry.drives import around, bar, counted, drives


def passes(count, spacing, width, length, step=2.0):
    """Strips to and fro, side by side, off while they go over to the next."""
    up = np.arange(0.0, length + step / 2, step)
    path, heading, active = [], [], []
    for index in range(count):
        y = up if index % 2 == 0 else up[::-1]
        path.append(np.column_stack([np.full(len(y), index * spacing), y]))
        heading.append(np.full(len(y), 180.0 * (index % 2)))
        active.append(np.arange(len(y)) < len(y) - 1)
    on = np.repeat(np.concatenate(active)[:, np.newaxis], 4, axis=1)
    return bar(np.concatenate(path), np.concatenate(heading), np.linspace(-width / 2, width / 2, 5), on)


@pytest.mark.parametrize(("count", "spacing", "width"), [(1, 6, 6), (5, 6, 6), (7, 5.5, 6), (4, 7, 6), (6, 2.5, 6)])
def test_passes_side_by_side(count, spacing, width):
    """Cross-sections: a place x is covered by the passes whose middle lies within w/2 of it."""
    found = cover(ribbons(passes(count, spacing, width, 100.0)))
    cuts = sorted({round(i * spacing + side * width / 2, 9) for i in range(count) for side in (-1, 1)})
    expected = np.zeros(count + 1)
    for left, right in pairwise(cuts):
        middle = (left + right) / 2
        expected[sum(abs(middle - i * spacing) < width / 2 for i in range(count))] += (right - left) * 100.0
    for level in range(1, count + 1):
        assert found.area(level) == pytest.approx(expected[level:].sum(), rel=1e-12, abs=1e-9)
    assert found.applied == pytest.approx(count * width * 100.0, rel=1e-12)


def test_overlap_of_neighbouring_passes_is_their_width_less_the_spacing():
    found = cover(ribbons(passes(7, 5.4, 6.0, 100.0)))
    assert found.double == pytest.approx(6 * (6.0 - 5.4) * 100.0, rel=1e-9)
    assert found.worked == pytest.approx((6 * 5.4 + 6.0) * 100.0, rel=1e-12)
    assert found.area(3) == 0.0
    assert found.geometry(2).area == pytest.approx(found.double, rel=1e-9)


def test_a_round_covers_an_annulus_and_half_of_another_covers_it_twice():
    strips = around(20.0, [-3.0, -1.0, 3.0], 540.0, 270)
    found = cover(ribbons(strips))
    ring = (23.0**2 - 17.0**2) / 2 * math.sin(math.pi / 90) * 180
    assert found.worked == pytest.approx(ring, rel=1e-12)
    assert found.double == pytest.approx(ring / 2, rel=1e-12)
    assert found.worked == pytest.approx(math.pi * (23.0**2 - 17.0**2), rel=(math.pi / 90) ** 2 / 6)
    assert len(found.geometry(1).interiors) == 1


def test_a_turn_round_a_point_of_the_bar_covers_a_disc_and_twice_its_inner_part():
    """A whole turn about a point 2 m from one end and 1 m from the other: discs as regular polygons of 120 corners."""
    half, whole = (cover(ribbons(around(0.5, [-1.5, 1.5], angle, steps))) for angle, steps in ((180, 60), (360, 120)))
    disc = math.sin(math.pi / 60) * 60
    assert half.double == pytest.approx(0.0, abs=1e-9)
    assert half.worked == pytest.approx((2.0**2 + 1.0**2) / 2 * disc, rel=1e-9)
    assert whole.worked == pytest.approx(2.0**2 * disc, rel=1e-9)
    assert whole.double == pytest.approx(1.0**2 * disc, rel=1e-9)
    assert whole.worked == pytest.approx(math.pi * 4.0, rel=5e-4)


def test_a_spiral_covers_a_disc_once():
    """An Archimedean spiral whose rounds lie a width apart: r = w t / 2π, swept by w/2 to both sides of it.

    Between r(t) and r(t) + w of round k lies the area swept, from t0 on: the integral of ((r + w)² - r²)/2 dt.
    """
    width, rounds, start = 3.0, 6.0, 2.0 * math.pi
    t = np.linspace(start, start + 2.0 * math.pi * rounds, 7201)
    inner = width * t / (2.0 * math.pi)
    along = np.column_stack([np.sin(t), np.cos(t)])
    strips = sweeps.Strips(
        (along * (inner + width)[:, np.newaxis])[:, np.newaxis],
        (along * inner[:, np.newaxis])[:, np.newaxis],
        np.ones((7200, 1), dtype=bool),
    )
    found = cover(ribbons(strips))
    exact = (
        ((inner[-1] + width) ** 3 - inner[-1] ** 3 - (inner[0] + width) ** 3 + inner[0] ** 3) * math.pi / (3.0 * width)
    )
    assert found.applied == pytest.approx(exact, rel=1e-5)
    assert found.worked == pytest.approx(exact, rel=1e-5)
    assert found.double < 1e-9 * exact


def work():
    """Ordinary work on one hectare: passes that overlap, a round across their ends, sections switched off."""
    random = np.random.default_rng(20260504)
    lanes = passes(16, 5.6, 6.0, 90.0)
    lanes.left[:] += random.normal(0.0, 0.02, (len(lanes.left), 1, 2))
    lanes.right[:, :-1] = lanes.left[:, 1:]
    lanes.active[200:260, 1] = False
    lanes.active[300:330, :] = False
    return lanes, around(30.0, np.linspace(-3.0, 3.0, 5), 400.0, 150, centre=(45.0, 45.0))


def test_areas_are_those_of_one_union_of_all_quadrilaterals():
    """GEOS unions floating-point polygons on its own; goal of 1e-9 for ordinary work."""
    lanes, circle = work()
    found = cover(np.concatenate([ribbons(lanes), ribbons(circle)]))
    quads = np.concatenate([polygons(sweeps.pieces(part).quads) for part in (lanes, circle)])
    union = shapely.union_all(quads)
    assert found.worked == pytest.approx(union.area, rel=1e-9)
    assert found.applied == pytest.approx(float(shapely.area(quads).sum()), rel=1e-9)
    assert found.residual <= 1e-9 * found.applied
    assert shapely.area(shapely.symmetric_difference(found.geometry(1), union)) < 1e-9 * union.area


def test_overlap_is_that_of_pairs_of_ribbons():
    """The union of the intersections of all pairs, by GEOS: the area covered at least twice."""
    lanes, circle = work()
    shapes = np.concatenate([ribbons(lanes), ribbons(circle)])
    one, other = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    both = shapely.intersection(shapes[one[one < other]], shapes[other[one < other]])
    assert cover(shapes).double == pytest.approx(shapely.union_all(both).area, rel=1e-9)


def test_geometries_are_valid_and_have_the_areas():
    lanes, circle = work()
    found = cover(np.concatenate([ribbons(lanes), ribbons(circle)]))
    assert found.area(3) > 10.0
    for level in (1, 2, 3):
        shape = found.geometry(level)
        assert shape.is_valid
        assert shape.area == pytest.approx(found.area(level), rel=1e-9)
    assert found.geometry(9).is_empty
    assert found.by_multiplicity[0] == 0.0


def test_holes_that_touch_at_their_corners_stay_holes():
    """Sections off like the black squares of a board: with the corners in common, 8 by 8 squares of 1 m."""
    path = np.column_stack([np.zeros(11), np.arange(11.0)])
    inner = (np.arange(11)[:, np.newaxis] + np.arange(10)) % 2 == 0
    inner[[0, 9, 10]] = inner[:, [0, 9]] = True
    found = cover(ribbons(bar(path, np.zeros(11), np.arange(-5.0, 6.0), inner)))
    assert found.worked == pytest.approx(100.0 - 32.0, rel=1e-12)
    shape = multiplicity._outlined(found, 1)
    assert shape.is_valid
    assert shape.area == pytest.approx(68.0, rel=1e-12)


def test_where_outlines_fail_a_union_gives_the_geometry(monkeypatch):
    monkeypatch.setattr(multiplicity, "_outlined", lambda found, at_least: shapely.Point(0, 0).buffer(1.0))
    found = cover(ribbons(around(20.0, [-3.0, 3.0], 90.0, 30)))
    assert found.geometry(1).area == pytest.approx(found.worked, rel=1e-9)


@pytest.mark.parametrize("angle", [60.0, 390.0])
def test_areas_are_those_of_a_raster_of_2_cm(angle):
    """Points counted in the outlines by the even-odd rule, without any of the code under test but the corners."""
    strips = around(1.2, [-3.0, -1.0, 0.5, 3.0], angle, 40)
    found, areas = cover(ribbons(strips)), counted(strips, 0.02)
    edge = 2.0 * math.pi * 4.2 * 2 + 12.0
    for level in (1, 2, 3):
        assert found.area(level) == pytest.approx(
            areas[level:].sum(), abs=3.0 * math.sqrt(edge * 0.02**3 / 12.0) + 1e-3
        )


def test_noding_on_a_grid_is_used_where_doubles_leave_a_residual(monkeypatch):
    """With a tolerance that nothing meets, the better of both ways is given, and it says what it missed."""
    monkeypatch.setattr(multiplicity, "TOLERANCE", -1.0)
    found = cover(ribbons(around(20.0, [-3.0, 3.0], 540.0, 90)))
    assert found.residual < 1e-4
    assert found.worked == pytest.approx((23.0**2 - 17.0**2) / 2 * math.sin(math.pi / 30) * 60, rel=1e-6)


def test_nothing_is_covered_by_nothing():
    found = cover(np.array([shapely.Polygon(), None], dtype=object))
    assert (found.worked, found.double, found.applied, found.residual) == (0.0, 0.0, 0.0, 0.0)
    assert found.geometry(1).is_empty


@given(drives())
def test_any_drive_agrees_with_the_union_and_the_raster(strips):
    quads = sweeps.pieces(strips).quads
    found, grid = cover(ribbons(strips)), raster.count(quads, 0.1)
    # on a grid: a union of quadrilaterals in doubles loses ground on one such drive in a thousand
    union = shapely.union_all(polygons(quads), grid_size=1e-8)
    assert found.residual <= 1e-8 * found.applied
    assert found.worked == pytest.approx(union.area, rel=1e-6, abs=1e-9)
    for level in (1, 2, 3):
        assert found.geometry(level).is_valid
        assert found.geometry(level).area == pytest.approx(found.area(level), rel=1e-8, abs=1e-9)
        assert abs(found.area(level) - grid.area(level)) <= grid.uncertainty(level) + 1e-12
