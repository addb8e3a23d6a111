"""Outlines of a simulated drive back to its passes; the drive and its export share no code with the project."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from taskdata.geometry.swaths.recover import Basis, Rows, recover
from tests.fieldwork.simulated.motion import Leg, Rig, drive
from tests.fieldwork.simulated.swath_export import exported, ground
from tests.heavy import some

WIDTH = 12.0
EDGES = ((-6.0, -3.0), (-3.0, 0.0), (0.0, 3.0), (3.0, 6.0))


def _rows(curvature=0.0):
    """Five rows up and down at 11.9 m with half circles between them, each row a slight bend; all on but in turns."""
    legs = []
    for row in range(5):
        legs.append(Leg(120.0, curvature * (1 if row % 2 == 0 else -1), speed=2.5))
        if row < 4:
            legs.append(Leg(np.pi * 11.9 / 2.0, (1 if row % 2 == 0 else -1) * 2.0 / 11.9, speed=1.2))
    done = drive(Rig(edges=EDGES, bar=1.0), legs)
    on = np.repeat(((done.leg % 2 == 0) & (np.arange(len(done.leg)) > 50))[:, np.newaxis], 4, axis=1)
    on[-1] = False
    return done, on


def _seven_digits(polygons):
    """Coordinates as a file of seven decimals of a degree holds them, 11.1 mm apart."""
    return shapely.transform(polygons, lambda points: np.round(points / 0.0111) * 0.0111)


def _swept(found):
    quads = [
        shapely.Polygon([one.left[at], one.right[at], one.right[at + 1], one.left[at + 1]])
        for one in found.passes
        for at in np.flatnonzero(one.row >= 0)
    ]
    return ground(np.array(quads, dtype=object))


def _check(found, polygons, *, share=0.002):
    assert abs(found.width.metres - WIDTH) < 0.02
    truth = ground(polygons)
    assert _swept(found).symmetric_difference(truth).area < share * truth.area
    assert not len(found.aside)


@pytest.mark.parametrize("sections", [False, True])
@pytest.mark.parametrize("curvature", [0.0, 0.004])
@pytest.mark.parametrize("known", ["time", "rows", "nothing"])
def test_width_ground_order_and_direction(sections, curvature, known):
    done, on = _rows(curvature)
    polygons, seconds, _ = exported(done, on, rate=2.0, sections=sections)
    polygons = _seven_digits(polygons)
    order = np.arange(len(polygons)) if known == "rows" else np.random.default_rng(3).permutation(len(polygons))
    rows = Rows(time=seconds[order] if known == "time" else None)
    found = recover(polygons[order], np.arange(len(polygons)), rows)
    _check(found, polygons)
    assert len(found.passes) == 5
    across = [float(one.track[:, 0].mean()) for one in found.passes]
    assert across == sorted(across)
    climbs = [float(one.track[-1, 1] - one.track[0, 1]) > 0.0 for one in found.passes]
    if known == "nothing":
        assert found.basis is Basis.NONE
        assert found.directed == (False,) * 5
    else:
        assert found.basis is {"time": Basis.TIME, "rows": Basis.ROWS}[known]
        assert found.directed == (True,) * 5
        assert climbs == [True, False, True, False, True]


@pytest.mark.parametrize("seed", some(range(40), 6))
@pytest.mark.parametrize("sections", [False, True])
def test_sections_switched_at_will(seed, sections):
    done, on = _rows()
    random = np.random.default_rng(seed)
    for _ in range(12):
        start = int(random.integers(0, len(on)))
        on[start : start + int(random.integers(100, 600)), int(random.integers(0, 4))] = False
    polygons, seconds, _ = exported(done, on, rate=2.0, sections=sections)
    polygons = _seven_digits(polygons)
    order = random.permutation(len(polygons))
    found = recover(polygons[order], np.arange(len(polygons)), Rows(time=seconds[order]))
    _check(found, polygons)
    for one in found.passes:
        assert (np.abs(one.offset) + one.width / 2.0 <= WIDTH / 2.0 + 0.02).all()


def test_outlines_that_begin_at_any_corner_in_either_sense():
    done, on = _rows(0.004)
    polygons, _, _ = exported(done, on, rate=2.0, sections=True)
    random = np.random.default_rng(5)
    turned = []
    for polygon in polygons:
        ring = np.roll(shapely.get_coordinates(polygon)[:-1], int(random.integers(0, 4)), axis=0)
        turned.append(shapely.Polygon(ring if random.random() < 0.5 else ring[::-1]))
    shuffled = np.array(turned, dtype=object)[random.permutation(len(turned))]
    _check(recover(shuffled, np.arange(len(shuffled)), Rows()), polygons)


def test_a_polygon_for_each_pass():
    done, on = _rows(0.004)
    whole = np.array(_strips(done, on), dtype=object)
    found = recover(_seven_digits(whole), np.arange(len(whole)), Rows(time=np.arange(5.0)[::-1]))
    _check(found, whole)
    assert len(found.passes) == 5
    assert found.directed == (False,) * 5
    assert [float(one.track[:, 0].mean()) for one in found.passes] == sorted(
        (float(one.track[:, 0].mean()) for one in found.passes), reverse=True
    )


def _strips(done, on):
    """One outline around each pass: its left edge and back along its right one, which has fewer points."""
    found = []
    for leg in range(0, 9, 2):
        at = np.flatnonzero((done.leg == leg) & on[:, 0])[::40]
        left, right = done.edge(-6.0)[at], done.edge(6.0)[at[[0, *range(1, len(at) - 1, 2), len(at) - 1]]]
        found.append(shapely.Polygon(np.concatenate([left, right[::-1]])))
    return found


@pytest.mark.parametrize("stretch", [0.8, 1.25])
def test_rectangles_that_leave_gaps_or_overlap(stretch):
    done, on = _rows()
    polygons, _, _ = exported(done, on, rate=2.0)
    boxes = np.array(
        [
            shapely.affinity.scale(box, 1.0, stretch) if abs(box.bounds[2] - box.bounds[0] - 12.0) < 0.01 else box
            for box in polygons
        ],
        dtype=object,
    )
    found = recover(boxes, np.arange(len(boxes)), Rows())
    assert len(found.passes) == 5
    _check(found, polygons)


def test_passes_drawn_as_one_quadrilateral_each_are_not_taken_across():
    boxes = [shapely.box(12.0 * at, 0.0, 12.0 * at + 12.0, 300.0) for at in range(10)]
    found = recover(np.array(boxes, dtype=object), np.arange(10), Rows())
    assert found.width.metres == pytest.approx(12.0)
    assert len(found.passes) == 10
    assert {round(one.length) for one in found.passes} == {300}


@pytest.mark.parametrize("shuffled", [False, True])
def test_a_grid_of_cells_that_meet_at_their_corners(shuffled):
    boxes = [shapely.box(12.0 * at, y, 12.0 * at + 12.0, y + 2.0) for at in range(8) for y in range(0, 300, 2)]
    order = np.random.default_rng(1).permutation(len(boxes)) if shuffled else np.arange(len(boxes))
    found = recover(np.array(boxes, dtype=object)[order], np.arange(len(boxes)), Rows())
    assert found.width.metres == pytest.approx(12.0)
    assert len(found.passes) == 8


def test_lines_with_a_width_are_driven_as_their_points_go():
    ways = [[(0.0, 0.0), (0.0, 200.0)], [(12.0, 200.0), (13.0, 100.0), (12.0, 0.0)]]
    found = recover(np.array([shapely.LineString(way) for way in ways]), np.arange(2), Rows(width_m=np.full(2, 12.0)))
    assert found.directed == (True, True)
    assert found.width.metres == pytest.approx(12.0, abs=0.01)
    assert found.passes[1].track[0] == pytest.approx((12.0, 200.0))
    assert _swept(found).area == pytest.approx(2 * 200.0 * 12.0, rel=0.01)


def test_what_is_no_strip_is_left_aside():
    done, on = _rows()
    polygons, seconds, _ = exported(done, on, rate=2.0)
    blob = shapely.Point(30.0, 300.0).buffer(20.0)
    holed = shapely.Polygon(shapely.box(100, 0, 120, 20).exterior, [shapely.box(105, 5, 110, 10).exterior])
    mixed = np.concatenate([polygons[:100], [blob, holed], polygons[100:]])
    times = np.concatenate([seconds[:100], [0.0, 0.0], seconds[100:]])
    found = recover(mixed, np.arange(len(mixed)), Rows(time=times))
    assert found.aside.tolist() == [100, 101]
    assert abs(found.width.metres - WIDTH) < 0.02
    assert len(found.passes) == 5


def test_no_row_makes_no_pass():
    found = recover(np.empty(0, dtype=object), np.empty(0, dtype=np.intp), Rows())
    assert found.passes == ()
    assert found.width is None
