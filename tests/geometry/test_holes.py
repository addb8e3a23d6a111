"""Which hole belongs to which outline. Expected values follow from the definitions by hand."""

import numpy as np

from taskdata.geometry.holes import group
from taskdata.geometry.plane import LocalPlane


def box(west, south, east, north):
    return np.array([(west, south), (east, south), (east, north), (west, north), (west, south)], dtype=float)


def holes_of(grouping):
    return [[hole[0].tolist() for hole in holes] for _, holes in grouping.groups]


def test_hole_goes_to_the_smallest_exterior_around_it():
    field, island = box(0, 0, 10, 10), box(3, 3, 6, 6)
    lake, pond = box(2, 2, 7, 7), box(4, 4, 5, 5)
    grouping = group([field, island], [pond, lake])
    assert holes_of(grouping) == [[[2, 2]], [[4, 4]]]
    assert grouping.outside == []
    assert grouping.groups[0][0] is field


def test_island_that_fills_a_hole_does_not_own_it():
    grouping = group([box(3, 3, 6, 6), box(0, 0, 10, 10)], [box(3, 3, 6, 6)[::-1]])
    assert holes_of(grouping) == [[], [[3, 3]]]
    assert grouping.outside == []


def test_hole_outside_goes_to_the_nearest_and_is_named():
    left, right = box(0, 0, 1, 1), box(10, 0, 11, 1)
    grouping = group([left, right], [box(0.2, 0.2, 0.4, 0.4), box(8, 0, 8.5, 1), box(10.5, 0.5, 11.5, 0.7)])
    assert holes_of(grouping) == [[[0.2, 0.2]], [[8, 0], [10.5, 0.5]]]
    assert grouping.outside == [1, 2]


def test_hole_may_touch_its_exterior():
    assert group([box(0, 0, 4, 4)], [box(0, 1, 1, 2)]).outside == []


def test_holes_across_the_antimeridian():
    east, west = [(179, 0), (-179, 0), (-179, 2), (179, 2)], box(-178, 0, -177, 2)
    holes = [box(-179.8, 0.5, -179.6, 0.7), box(179.3, 0.5, 179.6, 0.7), box(-177.8, 0.5, -177.6, 0.7)]
    grouping = group([east, west], holes)
    assert holes_of(grouping) == [[[-179.8, 0.5], [179.3, 0.5]], [[-177.8, 0.5]]]
    assert grouping.outside == []
    far = group([box(-179.9, 0, -179, 1), box(170, 0, 171, 1)], [box(179.8, 0, 179.9, 1)])
    assert (holes_of(far), far.outside) == ([[[179.8, 0]], []], [0])


def test_degenerate_rings_are_kept():
    nothing, spot, broken = np.empty((0, 2)), np.array([(1.0, 1.0)]), np.array([(np.nan, 1.0), (1.0, np.nan)])
    grouping = group([box(0, 0, 4, 4), nothing], [spot, broken, nothing])
    assert [len(holes) for _, holes in grouping.groups] == [3, 0]
    assert grouping.outside == [1, 2]
    assert group([], [spot]) == ([], [0])
    assert [len(holes) for _, holes in group([spot], []).groups] == [0]


def test_crossed_exterior_does_not_stop_the_rest():
    bow = np.array([(0, 0), (4, 4), (4, 0), (0, 4)], dtype=float)
    grouping = group([bow, box(10, 0, 14, 4)], [box(11, 1, 12, 2)])
    assert holes_of(grouping) == [[], [[11, 1]]]


def test_thousands_of_rings():
    corners = [(x * 0.1, y * 0.1) for x in range(60) for y in range(60)]
    outer = [box(x, y, x + 0.08, y + 0.08) for x, y in corners]
    inner = [box(x + 0.02, y + 0.02, x + 0.04, y + 0.04) for x, y in corners][::-1]
    grouping = group(outer, inner)
    assert grouping.outside == []
    assert all(np.allclose(holes[0][0] - ring[0], 0.02) for ring, holes in grouping.groups)
    assert {len(holes) for _, holes in grouping.groups} == {1}


def test_the_nearest_is_told_in_metres():
    """At 60 degrees north a degree of longitude is half as long as one of latitude."""
    east, north = box(7.03, 60.0, 7.04, 60.01), box(7.0, 60.02, 7.01, 60.03)
    hole = box(7.003, 60.001, 7.004, 60.002)  # 0.026 degrees or 1448 m west of one, 0.018 or 2005 m south of the other
    assert holes_of(group([north, east], [hole])) == [[], [[7.003, 60.001]]]


def test_a_hole_that_sticks_out_goes_to_the_outline_that_holds_most_of_it():
    field, island = box(0, 0, 10, 10), box(8.5, 4.5, 9.5, 5.5)
    grouping = group([island, field], [box(8, 4, 10.1, 6)])
    assert holes_of(grouping) == [[], [[8, 4]]]
    assert grouping.outside == [0]


def test_holes_in_a_cap_round_the_pole():
    plane = LocalPlane(0.0, 90.0)
    angles = np.radians(np.arange(0, 360, 30))
    cap, hole = (plane.inverse(size * np.column_stack([np.cos(angles), np.sin(angles)])) for size in (5000.0, 1000.0))
    beside = plane.inverse(np.array([(7000, 0), (7100, 0), (7100, 100)]))
    grouping = group([beside, cap], [hole])
    assert [len(inside) for _, inside in grouping.groups] == [0, 1]
    assert grouping.outside == []
