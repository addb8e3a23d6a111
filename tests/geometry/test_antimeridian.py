"""Cutting and joining at the antimeridian: the examples of RFC 7946 section 3.1.9, and properties by shapely."""

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from taskdata.geometry import antimeridian, rings

QUICK = settings(max_examples=80, deadline=None, derandomize=True, database=None)


def box(west, south, east, north):
    return np.array([(west, south), (east, south), (east, north), (west, north), (west, south)], dtype=float)


def same_ring(one, other):
    """Whether two closed rings run through the same points in the same direction, wherever they begin; 180 is -180."""
    one, other = (rings.open_ring(np.where(ring == [-180, np.inf], -ring, ring)) for ring in (one, other))
    return len(one) == len(other) and any(np.array_equal(np.roll(one, k, axis=0), other) for k in range(len(one)))


def in_plane(polygons, around=180.0):
    """The union of polygons with longitudes brought to within half a turn of a meridian."""
    parts = []
    for exterior, holes in polygons:
        shift = [np.column_stack([near(r[:, 0], around), r[:, 1]]) for r in map(rings.unwrap, (exterior, *holes))]
        parts.append(shapely.Polygon(shift[0], shift[1:]))
    return shapely.union_all(shapely.make_valid(parts))


def assert_valid(pieces):
    assert all(shapely.Polygon(exterior, holes).is_valid for exterior, holes in pieces)


def near(lon, around):
    return lon + 360 * np.rint((around - lon.mean()) / 360)


def assert_cut(pieces):
    for ring in [ring for exterior, holes in pieces for ring in (exterior, *holes)]:
        assert np.abs(ring[:, 0]).max() <= 180
        steps = np.abs(np.diff(ring[:, 0]))
        assert steps[np.abs(ring[1:, 1]) != 90].max() <= 180  # only the edge over a pole is longer
        assert rings.is_closed(ring)


def test_line_of_rfc_7946():
    # section 3.1.9: from 45° N, 170° E to 45° N, 170° W
    parts = antimeridian.cut_line([(170, 45), (-170, 45)])
    assert [part.tolist() for part in parts] == [[[170, 45], [180, 45]], [[-180, 45], [-170, 45]]]
    assert [line.tolist() for line in antimeridian.join_lines(parts)] == [[[170, 45], [-170, 45]]]


def test_polygon_of_rfc_7946():
    # section 3.1.9: 40° N to 50° N, 170° E to 170° W
    expected = [
        [(180, 40), (180, 50), (170, 50), (170, 40), (180, 40)],
        [(-170, 40), (-170, 50), (-180, 50), (-180, 40), (-170, 40)],
    ]
    whole = np.array([(170, 40), (-170, 40), (-170, 50), (170, 50), (170, 40)], dtype=float)
    pieces = antimeridian.cut_polygon(whole)
    assert [holes for _, holes in pieces] == [[], []]
    assert same_ring(pieces[0][0], np.array(expected[0]))
    assert same_ring(pieces[1][0], np.array(expected[1]))
    ((joined, holes),) = antimeridian.join_polygons([(np.array(ring, dtype=float), []) for ring in expected])
    assert same_ring(joined, whole)
    assert holes == []


def test_longitudes_past_180_are_cut_too():
    pieces = antimeridian.cut_polygon(box(170, 40, 190, 50))
    assert [ring[:, 0].tolist() for ring, _ in pieces] == [[170, 180, 180, 170, 170], [-180, -170, -170, -180, -180]]


def test_holes_on_both_sides_and_across():
    whole = (rings.wrap(box(170, 40, 190, 50)), [rings.wrap(box(178, 43, 183, 45)), box(172, 43, 173, 44)])
    whole[1].append(rings.wrap(box(185, 43, 186, 44)))
    pieces = antimeridian.cut_polygon(*whole)
    assert_cut(pieces)
    assert [[hole[0].tolist() for hole in holes] for _, holes in pieces] == [[[172, 43]], [[-175, 43]]]
    assert [in_plane([piece]).area for piece in pieces] == [100 - 4 - 1, 100 - 6 - 1]
    ((exterior, holes),) = antimeridian.join_polygons(pieces)
    assert np.array_equal(exterior, whole[0])
    assert all(
        any(same_ring(rings.orient(hole), back) or same_ring(hole[::-1], back) for back in holes) for hole in whole[1]
    )
    assert len(holes) == 3


def test_hole_that_touches_both_ends_of_the_cut_makes_three_pieces():
    comb = np.array(
        [(179, 0), (-179, 0), (-179, 1), (179.5, 1), (179.5, 2), (-179, 2), (-179, 3), (179, 3)], dtype=float
    )
    pieces = antimeridian.cut_polygon(comb)
    assert_cut(pieces)
    assert len(pieces) == 3
    ((joined, _),) = antimeridian.join_polygons(pieces)
    assert np.array_equal(joined, rings.close(comb))


def test_notch_that_reaches_the_antimeridian_splits_one_side():
    notched = np.array(
        [(179, 0), (-179, 0), (-179, 1), (180, 1), (180, 2), (-179, 2), (-179, 3), (179, 3)], dtype=float
    )
    pieces = antimeridian.cut_polygon(notched)
    assert_cut(pieces)
    assert [rings.plane_area(ring) for ring, _ in pieces] == [3, 1, 1]
    ((joined, _),) = antimeridian.join_polygons(pieces)
    assert same_ring(joined, notched)
    tip = np.array([(179, 0), (-179, 0), (180, 1), (-179, 2), (179, 2)], dtype=float)
    assert len(antimeridian.cut_polygon(tip)) == 3
    clockwise = antimeridian.cut_polygon(notched[::-1])
    assert [rings.plane_area(ring) for ring, _ in clockwise] == [-3, -1, -1]


def test_hole_along_the_antimeridian():
    outer, hole = rings.wrap(box(178, 0, 182, 4)), np.array([(180, 1), (180, 2), (-179, 1.5), (180, 1)])
    pieces = antimeridian.cut_polygon(outer, [hole])
    assert_cut(pieces)
    assert [rings.plane_area(ring) for ring, _ in pieces] == [8, 7.5]
    ((joined, (back,)),) = antimeridian.join_polygons(pieces)
    assert same_ring(joined, outer)
    assert same_ring(back, hole)


def test_touching_is_not_crossing():
    for lon in (180.0, -180.0):
        east = np.array([(-179, 0), (-178, 1), (-179, 2), (lon, 1), (-179, 0)])
        ((ring, _),) = antimeridian.cut_polygon(east)
        assert ring[:, 0].tolist() == [-179, -178, -179, -180, -179]
        (line,) = antimeridian.cut_line([(179, 0), (lon, 1), (178, 2)])
        assert line[:, 0].tolist() == [179, 180, 178]


def test_point_on_the_antimeridian_is_where_it_is_cut():
    parts = antimeridian.cut_line([(179, 0), (180, 0.7), (-178, 1)])
    assert [part.tolist() for part in parts] == [[[179, 0], [180, 0.7]], [[-180, 0.7], [-178, 1]]]
    (joined,) = antimeridian.join_lines(parts)
    assert joined.tolist() == [[179, 0], [180, 0.7], [-178, 1]]


def test_line_that_crosses_often():
    line = np.array([(179, 0), (-179, 1), (179, 2), (178, 2), (-170, 3)], dtype=float)
    parts = antimeridian.cut_line(line)
    assert [len(part) for part in parts] == [2, 3, 4, 2]
    assert [joined.tolist() for joined in antimeridian.join_lines(parts)] == [line.tolist()]


def test_lines_that_do_not_meet_stay_apart():
    lines = [np.array([(179, 0), (180, 5)], dtype=float), np.array([(-180, 6), (-179, 7)], dtype=float)]
    assert [line.tolist() for line in antimeridian.join_lines(lines)] == [line.tolist() for line in lines]
    assert len(antimeridian.join_polygons([(box(179, 0, 180, 1), []), (box(-180, 2, -179, 3), [])])) == 2


def test_two_polygons_in_one_are_told_apart():
    first = antimeridian.cut_polygon(rings.wrap(box(179, 0, 181, 1)))
    second = antimeridian.cut_polygon(rings.wrap(box(179, 2, 181, 3)))
    joined = antimeridian.join_polygons([first[0], second[0], (box(5, 5, 6, 6), []), second[1], first[1]])
    assert [ring[0].tolist() for ring, _ in joined] == [[179, 0], [179, 2], [5, 5]]
    assert [rings.plane_area(ring) for ring, _ in joined] == [2, 2, 1]


def test_latitudes_within_the_tolerance_join():
    west, east = box(179, 0, 180, 1), box(-180, 4e-10, -179, 1 - 4e-10)
    ((joined, _),) = antimeridian.join_polygons([(west, []), (east, [])])
    assert len(joined) == 5
    ((stepped, _),) = antimeridian.join_polygons([(west, []), (east, [])], tolerance=1e-10)
    assert len(stepped) == 9  # the steps between the pieces are real then


def test_pieces_of_different_height_join_where_they_meet():
    ((joined, _),) = antimeridian.join_polygons([(box(179, 0, 180, 3), []), (box(-180, 1, -179, 2), [])])
    assert rings.plane_area(joined) == 4
    assert_valid([(rings.unwrap(joined), [])])


@pytest.mark.parametrize("pole", [90, -90])
def test_ring_round_a_pole_is_closed_over_it(pole):
    lat = pole - np.sign(pole) * np.array([10, 12, 9, 14, 11])
    ring = np.column_stack([[-150, -60, 0, 60, 150], lat]).astype(float)
    ((cut, _),) = antimeridian.cut_polygon(ring)
    assert_cut([(cut, [])])
    shape = shapely.Polygon(cut)
    assert shape.is_valid
    assert shape.covers(shapely.Point(33, pole))
    assert {(180, pole), (-180, pole)} <= set(map(tuple, cut.tolist()))
    ((joined, _),) = antimeridian.join_polygons([(cut, [])])
    assert np.array_equal(joined, rings.close(ring))
    ((again, _),) = antimeridian.cut_polygon(cut)
    assert same_ring(again, cut)


def test_hole_round_the_pole_leaves_a_belt():
    lon = np.array([-150, -60, 0, 60, 150], dtype=float)
    outer, inner = (np.column_stack([lon, np.full(5, lat)]) for lat in (60.0, 80.0))
    ((belt, holes),) = antimeridian.cut_polygon(outer, [inner[::-1]])
    assert holes == []
    assert shapely.Polygon(belt).is_valid
    assert abs(rings.plane_area(belt)) == 360 * 20


def test_nothing_to_cut_or_to_join():
    ring = box(1, 1, 2, 2)
    ((same, holes),) = antimeridian.cut_polygon(ring, [box(1.2, 1.2, 1.4, 1.4)])
    assert np.array_equal(same, ring)
    assert len(holes) == 1
    ((same, _),) = antimeridian.join_polygons([(ring, [])])
    assert np.array_equal(same, ring)
    assert not antimeridian.crosses(ring)
    assert antimeridian.crosses([(179, 0), (-179, 0)])
    assert antimeridian.crosses([(179, 0), (181, 0)])
    assert antimeridian.cut_line([])[0].shape == (0, 2)
    assert antimeridian.join_lines([]) == []


def test_broken_rings_come_back_as_they_are():
    broken = np.array([(179, 0), (np.nan, 1), (-179, 2), (179, 0)])
    ((ring, _),) = antimeridian.cut_polygon(broken, [broken])
    assert np.array_equal(ring, broken, equal_nan=True)
    assert np.array_equal(antimeridian.cut_line(broken)[0], broken, equal_nan=True)


@st.composite
def polygons(draw, step=None):
    """Valid polygons with a hole round the antimeridian, on a grid whose lines hit it when a step is given."""
    count, middle = draw(st.integers(3, 14)), draw(st.floats(178, 182))
    radii = np.array(draw(st.lists(st.floats(1, 4), min_size=count, max_size=count)))
    angles = 2 * np.pi * np.arange(count) / count
    outer = np.column_stack([middle + radii * np.cos(angles), 50 + radii * np.sin(angles)])
    hole = np.column_stack([middle + radii * np.cos(angles) / 3, 50 + radii * np.sin(angles) / 3])[::-1]
    if step:
        outer, hole = np.rint(outer / step) * step, np.rint(hole / step) * step
    assume(shapely.Polygon(outer).is_valid and shapely.Polygon(hole).is_valid)
    assume(shapely.Polygon(outer).contains_properly(shapely.Polygon(hole)))
    return rings.wrap(outer), [rings.wrap(hole)]


@QUICK
@given(polygons())
def test_polygons_survive_the_cut_exactly(polygon):
    outer, holes = polygon
    pieces = antimeridian.cut_polygon(outer, holes)
    assert_cut(pieces)
    assert_valid(pieces)
    assert sum(in_plane([piece], piece[0][:, 0].mean()).area for piece in pieces) == pytest.approx(
        in_plane([polygon]).area, rel=1e-12
    )
    ((back, back_holes),) = antimeridian.join_polygons(pieces)
    assert same_ring(back, outer)
    assert len(back_holes) == 1
    assert same_ring(back_holes[0], holes[0])


@QUICK
@given(polygons(step=0.5))
def test_polygons_with_points_on_the_antimeridian_keep_their_shape(polygon):
    pieces = antimeridian.cut_polygon(*polygon)
    assert_cut(pieces)
    assert_valid(pieces)
    assert in_plane(pieces).symmetric_difference(in_plane([polygon])).area < 1e-9
    assert in_plane(antimeridian.join_polygons(pieces)).symmetric_difference(in_plane([polygon])).area < 1e-9


@QUICK
@given(st.lists(st.tuples(st.floats(176, 184), st.floats(-60, 60)), min_size=2, max_size=12))
def test_lines_survive_the_cut(points):
    line = rings.wrap(points)
    parts = antimeridian.cut_line(line)
    assert all(np.abs(np.diff(part[:, 0])).max() <= 180 for part in parts)
    lengths = [shapely.LineString(rings.unwrap(part)).length for part in (line, *parts)]
    assert sum(lengths[1:]) == pytest.approx(lengths[0], rel=1e-9, abs=1e-9)
