"""Rings: closing, direction, longitudes and holes. Expected values follow from the definitions by hand."""

import numpy as np
import pytest
import shapely

from taskdata.geometry import rings

SQUARE = np.array([(0, 0), (4, 0), (4, 4), (0, 4)], dtype=float)


def box(west, south, east, north):
    return np.array([(west, south), (east, south), (east, north), (west, north), (west, south)], dtype=float)


def test_closing_and_opening():
    closed = rings.close(SQUARE)
    assert len(closed) == 5
    assert rings.is_closed(closed)
    assert not rings.is_closed(SQUARE)
    assert not rings.is_closed([])
    assert not rings.is_closed([(1, 2)])
    assert np.array_equal(rings.close(closed), closed)
    assert np.array_equal(rings.open_ring(closed), SQUARE)
    assert np.array_equal(rings.open_ring(SQUARE), SQUARE)


@pytest.mark.parametrize("ring", [SQUARE, rings.close(SQUARE), box(-2, -2, 1, 1)])
def test_direction(ring):
    backwards = rings.orient(ring, ccw=False)
    assert shapely.LinearRing(ring).is_ccw
    assert not shapely.LinearRing(backwards).is_ccw
    assert np.array_equal(backwards[0], ring[0])
    assert rings.is_closed(backwards) == rings.is_closed(ring)
    assert np.array_equal(rings.orient(backwards), ring)
    assert rings.plane_area(ring) == -rings.plane_area(backwards) > 0


def test_direction_across_the_antimeridian():
    ring = np.array([(179, 0), (-179, 0), (-179, 1), (179, 1)], dtype=float)
    assert rings.plane_area(ring) == 2
    assert np.array_equal(rings.orient(ring), ring)
    assert rings.plane_area(rings.orient(ring, ccw=False)) == -2


@pytest.mark.parametrize("pole", [1, -1])
def test_direction_round_a_pole(pole):
    # eastwards the north pole lies on the left, and the south pole on the right (definition of counter-clockwise)
    ring = np.array([(0, 80 * pole), (90, 80 * pole), (180, 80 * pole), (-90, 80 * pole)], dtype=float)
    assert rings.winding(ring) == 1
    assert rings.winding(ring[::-1]) == -1
    assert rings.plane_area(ring) == 3600 * pole
    assert rings.winding(SQUARE) == 0


def test_ring_without_area_keeps_its_direction():
    flat = np.array([(0, 0), (1, 1), (2, 2)], dtype=float)
    assert np.array_equal(rings.orient(flat, ccw=False), flat)
    assert rings.plane_area([(0, 0), (np.nan, 1), (1, 1)]) == 0


def test_distinct_places():
    assert rings.distinct_count(rings.close(SQUARE)) == 4
    assert rings.distinct_count([(180, 1), (-180, 1), (540, 1)]) == 1
    assert rings.distinct_count([(190.5, 1), (-169.5, 1)]) == 1
    assert rings.distinct_count([]) == 0


def test_unwrapped_longitudes_are_continuous_and_exact():
    ring = [(179.9999, 1), (-179.9998, 2), (-179.9997, 3), (179.9999, 1)]
    unwrapped = rings.unwrap(ring)[:, 0]
    assert unwrapped.tolist() == [179.9999, 360 - 179.9998, 360 - 179.9997, 179.9999]
    assert np.array_equal(rings.wrap(rings.unwrap(ring)), ring)
    assert rings.unwrap([(-179, 0), (179, 0), (178, 0)])[:, 0].tolist() == [-179, -181, -182]
    assert rings.unwrap([(1, 0), (np.nan, 0), (2, 0)])[[0, 2], 0].tolist() == [1, 2]


def test_wrapping():
    assert rings.wrap([(190, 1), (-190, 1), (180, 1), (-180, 1), (725, 1)])[:, 0].tolist() == [-170, 170, 180, -180, 5]


def test_started_at():
    assert rings.started_at(SQUARE, (4, 4)).tolist() == [[4, 4], [0, 4], [0, 0], [4, 0]]
    assert np.array_equal(rings.started_at(SQUARE, (9, 9)), SQUARE)
