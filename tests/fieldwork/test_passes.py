"""Passes counted by hand on simple fields."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from taskdata.errors import UsageError
from taskdata.fieldwork.planning.plan_passes import plan_passes
from taskdata.fieldwork.planning.plan_request import PlanRequest
from taskdata.geometry.plane import LocalPlane
from taskdata.model.fields import GuidanceKind, GuidanceLine
from taskdata.model.machines import Machine
from taskdata.model.shapes import Area, AreaKind
from taskdata.results.planning import Ends, PlanNote
from tests.fieldwork.lindhollen import PLANE, ab, area, box, farm, field, line, metres
from tests.heavy import examples

BOX = box(0.0, 0.0, 100.0, 60.0)
ALONG = ab((10.0, 3.0), (90.0, 3.0))


def plan(*boundaries, lines=(ALONG,), valid=(), machines=(), **request):
    request = {"width_m": 6.0, **request}
    return plan_passes(farm(field(*boundaries, lines=lines, valid=valid), machines=machines), PlanRequest(**request))


def band(points, width):
    """The ground of a bar that goes along a straight line, (n, 2) metres."""
    return shapely.buffer(shapely.linestrings(points), width / 2.0, cap_style="flat")


def rows(found):
    """Middle across a line to the east, and length, of each piece by number and part."""
    return {
        (piece.number, piece.part): (metres(piece.points)[:, 1].mean(), piece.length_m)
        for piece in found.pieces
        if not piece.headland
    }


def test_a_rectangle_has_as_many_passes_as_widths():
    found = plan(area(BOX))
    assert (found.passes, found.turns, found.left, found.right, found.spacing_m) == (10, 9, 9, 0, 6.0)
    assert found.length_m == pytest.approx(1000.0, abs=1e-3)
    assert found.heading_deg == pytest.approx(90.0, abs=0.01)
    assert {number: place for (number, _), (place, _) in rows(found).items()} == pytest.approx(
        {-k: 3.0 + 6.0 * k for k in range(10)}, abs=1e-3
    )
    assert found.time_s is None


def test_time_is_way_at_speed_and_20_seconds_a_turn():
    assert plan(area(BOX), speed_m_s=2.5).time_s == pytest.approx(1000.0 / 2.5 + 9 * 20.0, abs=0.01)


def test_overlap_and_skip_change_the_effective_width():
    """Common practice: passes lie one effective width apart, implement width less overlap or plus skip."""
    assert plan(area(BOX), overlap_m=1.0).spacing_m == 5.0
    assert plan(area(BOX), overlap_m=1.0).passes == 12
    assert plan(area(BOX), skip_m=4.0).passes == 6


def test_a_hole_divides_the_rows_that_cross_it():
    """A pond from y = 20 to 32: the rows at 21 and 27 are divided, each 20 m shorter."""
    found = plan(area(BOX, box(40.0, 20.0, 60.0, 32.0)))
    assert (found.passes, found.rows, found.turns) == (12, 10, 11)
    assert found.length_m == pytest.approx(1000.0 - 2 * 20.0, abs=1e-3)
    assert [part for number, part in rows(found) if number == -3] == [1, 2]


def test_the_headland_goes_round_field_and_holes():
    """One width: a round 3 m inside the edge and one 3 m outside the pond, whose corners are rounded."""
    found = plan(area(BOX, box(40.0, 20.0, 60.0, 32.0)), headland=1)
    rounds = [piece for piece in found.pieces if piece.headland]
    assert [piece.length_m for piece in rounds] == pytest.approx(
        [2 * (94.0 + 54.0), 2 * (20.0 + 12.0) + 2.0 * math.pi * 3.0], abs=0.05
    )
    assert all((piece.points[0] == piece.points[-1]).all() for piece in rounds)
    assert (found.rows, found.passes) == (8, 2 + 5 + 2 * 3)
    assert plan(area(BOX, box(40.0, 20.0, 60.0, 32.0)), headland=1, ends=Ends.CENTRE).passes == 2 + 4 + 2 * 4
    inside = [place for place, _ in rows(found).values()]
    assert (min(inside), max(inside)) == pytest.approx((9.0, 51.0), abs=1e-3)
    assert rows(found)[-1, 1][1] == pytest.approx(88.0, abs=0.02)


def test_a_headland_may_take_up_the_whole_field():
    found = plan(area(BOX), headland=5)
    assert [note for note, _ in found.notes] == [PlanNote.NO_HEADLAND_LEFT, PlanNote.UNDONE_CORNERS]
    assert {piece.number for piece in found.pieces} == {1, 2, 3, 4, 5}


def test_an_l_shape():
    """A foot 100 m long and 30 m high, a leg 40 m wide up to 90 m: five rows of 100 m, ten of 40 m."""
    found = plan(area([(0, 0), (100, 0), (100, 30), (40, 30), (40, 90), (0, 90)]))
    assert (found.passes, found.turns) == (15, 14)
    assert found.length_m == pytest.approx(5 * 100.0 + 10 * 40.0, abs=1e-3)


def test_a_field_of_two_parts():
    found = plan(area(BOX), area(box(120.0, 0.0, 150.0, 30.0)))
    assert (found.rows, found.passes) == (10, 15)


@pytest.mark.parametrize(
    ("values", "left", "right"),
    [
        ({"propagation": 2}, 4, 0),
        ({"propagation": 3}, 0, 5),
        ({"propagation": 4}, 0, 0),
        ({"propagation": 1}, 4, 5),
        ({"swaths_left": 2}, 2, 5),
        ({"swaths_right": 1, "swaths_left": 0}, 0, 1),
        ({"propagation": 2, "swaths_left": 3, "swaths_right": 3}, 3, 0),
    ],
)
def test_propagation_and_numbers_of_swaths(values, left, right):
    """ISO 11783-10 D.30: E 1 both, 2 left, 3 right, 4 none; N and O count the swaths, absent = unlimited."""
    found = plan(area(BOX), lines=[ab((10.0, 33.0), (90.0, 33.0), **values)])
    assert (found.left, found.right, found.passes) == (left, right, left + right + 1)


@pytest.mark.parametrize(
    ("extension", "west", "east"), [(None, 0, 100), (1, 0, 100), (2, 0, 80), (3, 30, 100), (4, 30, 80)]
)
def test_extension(extension, west, east):
    """ISO 11783-10 D.30: F 1 both ends, 2 first point only, 3 last point only, 4 none; absent = both."""
    found = plan(area(BOX), lines=[ab((30.0, 3.0), (80.0, 3.0), extension=extension)])
    for piece in found.pieces:
        assert metres(piece.points)[:, 0] == pytest.approx([west, east], abs=1e-3)


def test_a_direction_goes_along_its_heading_from_true_north():
    found = plan(area(BOX), lines=[line(GuidanceKind.A_PLUS, [(50.0, 3.0)], heading_deg=90.0)])
    assert (found.passes, found.heading_deg) == (10, 90.0)
    ahead = plan(area(BOX), lines=[line(GuidanceKind.A_PLUS, [(50.0, 3.0)], heading_deg=90.0, extension=4)])
    assert metres(ahead.pieces[-1].points)[:, 0] == pytest.approx([50.0, 100.0], abs=1e-3)


def test_group_and_pattern_boundaries_limit_the_rows():
    inner = area(box(20.0, -10.0, 120.0, 30.0), kind=8)
    found = plan(area(BOX), valid=[inner])
    assert (found.passes, found.length_m) == (5, pytest.approx(5 * 80.0, abs=1e-3))
    assert found.notes[0][0] is PlanNote.LIMITED
    assert found.undone_m2 == pytest.approx(6000.0 - 80.0 * 30.0, abs=0.1)
    both = plan(area(BOX), lines=[ab((10.0, 3.0), (90.0, 3.0), boundaries=(area(box(0, 0, 50, 60)),))], valid=[inner])
    assert both.length_m == pytest.approx(5 * 30.0, abs=1e-3)


def test_a_pivot_has_circles_about_its_centre():
    """Row 0 at 50 m; driven clockwise the inner circles are on the right: 7 of them down to 8 m, one spacing apart."""
    pivot = line(GuidanceKind.PIVOT, [(0.0, 0.0)], radius_m=50.0, direction=1)
    found = plan(area(box(-60.0, -60.0, 60.0, 60.0)), lines=[pivot], width_m=6.0, ends=Ends.CENTRE)
    assert found.right == 8
    assert found.heading_deg is None
    lengths = {piece.number: piece.length_m for piece in found.pieces if 0 <= piece.number <= 8}
    assert lengths == pytest.approx({k: 2.0 * math.pi * (50.0 - 6.0 * k) for k in range(9)}, rel=5e-4)
    corners = [piece for piece in found.pieces if piece.number == -2]
    assert len(corners) == 4
    angle = math.pi / 2.0 - 2.0 * math.acos(60.0 / 62.0)
    assert [piece.length_m for piece in corners] == pytest.approx([62.0 * angle] * 4, abs=0.02)
    other = line(GuidanceKind.PIVOT, [(0.0, 0.0)], radius_m=50.0, direction=2)
    assert plan(area(box(-60.0, -60.0, 60.0, 60.0)), lines=[other]).left == 8


@pytest.mark.parametrize(("direction", "share"), [(1, 0.25), (2, 0.75), (3, 1.0)])
def test_a_pivot_with_points_is_an_arc(direction, share):
    """From north to east clockwise it is a quarter, counter-clockwise three."""
    pivot = line(GuidanceKind.PIVOT, [(0, 0), (0, 30), (30, 0)], direction=direction, propagation=4)
    found = plan(area(box(-60.0, -60.0, 60.0, 60.0)), lines=[pivot])
    assert found.length_m == pytest.approx(share * 2.0 * math.pi * 30.0, rel=2e-4)


def quarter(radius):
    angle = np.radians(np.linspace(0.0, 90.0, 181))
    return radius * np.column_stack([np.sin(angle), np.cos(angle)])


def test_parallels_of_a_curve_are_at_a_true_distance_and_end_where_it_is_too_tight():
    """A quarter of 33 m turning right: on the right quarters of 27 m down to 3 m, then nothing; on the left 39 and 45.

    A parallel of a line of straight steps is shorter by the distance times the sum of its turns, 179 of 0.5 degrees.
    """
    curve = line(GuidanceKind.CURVE, quarter(33.0), extension=4, swaths_left=2)
    found = plan(area(box(-100.0, -100.0, 100.0, 100.0)), lines=[curve])
    expected = {k: math.pi / 2.0 * 33.0 - 6.0 * k * math.radians(179 * 0.5) for k in range(-2, 6)}
    assert {piece.number: piece.length_m for piece in found.pieces} == pytest.approx(expected, abs=0.3)
    for piece in found.pieces:
        radii = np.hypot(*metres(piece.points).T)
        assert radii == pytest.approx(33.0 - 6.0 * piece.number, abs=0.035)


def test_a_spiral_is_driven_as_it_stands():
    angle = np.linspace(0.0, 6.0 * np.pi, 400)
    points = (6.0 * angle / (2.0 * np.pi))[:, np.newaxis] * np.column_stack([np.sin(angle), np.cos(angle)])
    found = plan(area(box(-60.0, -60.0, 60.0, 60.0)), lines=[line(GuidanceKind.SPIRAL, points)])
    assert found.passes == 1
    assert PlanNote.SPIRAL in dict(found.notes)
    closed = 3.0 / np.pi * (0.5 * angle[-1] * math.hypot(1.0, angle[-1]) + 0.5 * math.asinh(angle[-1]))
    assert found.length_m == pytest.approx(closed, rel=1e-3)


def turned(ring, degrees):
    angle = math.radians(degrees)
    return np.asarray(ring) @ np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])


@pytest.mark.parametrize("heading", [0.0, 17.0, 90.0, 140.0])
def test_the_best_heading_of_a_rectangle_is_that_of_its_long_side(heading):
    """50 m across take nine swaths of 6 m; what they are wider, 4 m, lies over the edges by halves."""
    found = plan(area(turned(box(-25.0, -80.0, 25.0, 80.0), heading)), lines=[], line="best")
    assert found.line.name == "best heading"
    assert math.remainder(found.heading_deg - heading, 180.0) == pytest.approx(0.0, abs=0.01)
    assert (found.passes, found.left, found.right) == (9, 0, 8)
    assert found.length_m == pytest.approx(9 * 160.0, abs=0.01)
    across = sorted(turned(metres(piece.points), -heading)[:, 0].mean() for piece in found.pieces)
    assert across == pytest.approx([6.0 * (k - 4) for k in range(9)], abs=0.01)
    others = [item.heading_deg for item in found.alternatives]
    assert len(others) == 3
    assert all(abs((item - heading + 90.0) % 180.0 - 90.0) >= 10.0 for item in others)
    assert [item.passes for item in found.alternatives] == sorted(item.passes for item in found.alternatives)
    assert found.alternatives[0].passes > 9


def test_a_parallelogram_is_narrowest_across_its_longer_sides():
    """Base 60 m and height 60 m, but only 53.7 m across the sides of 67.1 m: nine passes of 6 m instead of ten."""
    found = plan(area([(0, 0), (60, 0), (90, 60), (30, 60)]), lines=[], line="best")
    assert found.passes == 9
    assert found.heading_deg == pytest.approx(math.degrees(math.atan2(30.0, 60.0)), abs=0.01)


def test_of_equal_passes_the_way_of_turning_decides():
    """Ten rows of 6.6 m east as well as north (60 and 66 m); the slanted east side makes turns there longer."""
    found = plan(area([(0, 0), (60, 0), (66, 60), (0, 60)]), lines=[], line="best", width_m=6.6)
    assert found.passes == 10
    assert math.remainder(found.heading_deg, 180.0) == pytest.approx(0.0, abs=0.01)
    assert plan(area([(0, 0), (60, 0), (66, 60), (0, 60)]), lines=[], line="90", width_m=6.6).passes == 10


def test_divided_rows_count_as_passes_for_the_best_heading():
    """Two strips side by side, 100 m apart: along them no row is divided."""
    found = plan(area(box(0, 0, 20, 100)), area(box(120, 0, 140, 100)), lines=[], line="best", width_m=5.0)
    assert math.remainder(found.heading_deg, 180.0) == pytest.approx(0.0, abs=0.01)
    assert found.passes == 8


def test_a_heading_may_stand_in_place_of_a_line():
    found = plan(area(BOX), line="90")
    assert found.passes == 10
    assert found.heading_deg == pytest.approx(90.0, abs=0.01)


@settings(max_examples=examples(6))
@given(st.lists(st.tuples(st.floats(-150, 150), st.floats(-150, 150)), min_size=3, max_size=8), st.floats(0.0, 180.0))
def test_rows_of_small_width_cover_the_area(corners, heading):
    """Cavalieri: length times spacing approaches the area, whatever the heading."""
    hull = shapely.convex_hull(shapely.MultiPoint(corners))
    if hull.area < 2000.0 or shapely.minimum_rotated_rectangle(hull).length / hull.area > 0.3:
        return
    wanted = {"lines": [], "line": f"{heading:.3f}", "width_m": 4.0}
    found = plan(area(shapely.get_coordinates(hull)), **wanted, ends=Ends.CENTRE)
    assert found.length_m * 4.0 == pytest.approx(hull.area, abs=4.0 * hull.length)
    for piece in found.pieces:
        assert hull.buffer(1e-3).contains(shapely.LineString(metres(piece.points)))
    bands = [band(metres(piece.points), 4.0) for piece in plan(area(shapely.get_coordinates(hull)), **wanted).pieces]
    assert shapely.union_all(bands).buffer(0.021, join_style="mitre").covers(hull)


def test_the_width_is_that_given_else_that_of_the_line_else_that_of_the_only_implement():
    with_spacing = ab((10.0, 3.0), (90.0, 3.0), spacing_m=4.0)
    drill = Machine("DVC1", working_width_m=3.0)
    assert plan(area(BOX), lines=[with_spacing], width_m=None, machines=[drill]).spacing_m == 4.0
    assert plan(area(BOX), lines=[with_spacing], width_m=None, overlap_m=0.5, machines=[drill]).spacing_m == 2.5
    assert plan(area(BOX), width_m=None, machines=[drill, Machine("DVC2")]).spacing_m == 3.0
    with pytest.raises(UsageError, match="several implements: DVC1 3 m, DVC2 24 m"):
        plan(area(BOX), width_m=None, machines=[drill, Machine("DVC2", working_width_m=24.0)])
    with pytest.raises(UsageError, match="width is not known"):
        plan(area(BOX), width_m=None)


@pytest.mark.parametrize(
    "request_",
    [
        {"width_m": 0.0},
        {"width_m": -6.0},
        {"width_m": math.nan},
        {"width_m": 0.001},
        {"overlap_m": 6.0},
        {"overlap_m": 1.0, "skip_m": 1.0},
        {"headland": -1},
        {"headland": 1000},
        {"line": "none of that name"},
        {"field": "none of that name"},
    ],
)
def test_requests_that_make_no_sense(request_):
    with pytest.raises(UsageError):
        plan(area(BOX), **request_)


def test_lines_that_are_none():
    for broken in (
        ab((10.0, 3.0), (10.0, 3.0)),
        line(GuidanceKind.A_PLUS, [(10.0, 3.0)]),
        line(GuidanceKind.PIVOT, [(10.0, 3.0)]),
        line(GuidanceKind.PIVOT, np.empty((0, 2))),
        line(GuidanceKind.CURVE, [(10.0, 3.0)]),
    ):
        with pytest.raises(UsageError):
            plan(area(BOX), lines=[broken])


def test_a_field_without_a_boundary_has_the_passes_that_its_line_states():
    stated = ab((0.0, 0.0), (0.0, 100.0), swaths_left=2, swaths_right=1)
    found = plan(lines=[stated])
    assert (found.passes, found.left, found.right) == (4, 2, 1)
    assert found.length_m == pytest.approx(400.0, abs=1e-3)
    assert PlanNote.NO_BOUNDARY in dict(found.notes)
    assert plan(lines=[ALONG]).passes == 1


def test_nothing_to_plan_from():
    with pytest.raises(UsageError, match="no field"):
        plan_passes(farm(), PlanRequest(width_m=6.0))
    with pytest.raises(UsageError, match="no coordinates"):
        plan(lines=[])
    with pytest.raises(UsageError, match="neither a boundary nor"):
        plan(lines=[ALONG], line="best")


def test_a_line_beside_the_field_makes_no_pass_and_says_so():
    found = plan(area(BOX), lines=[ab((10.0, -50.0), (90.0, -50.0), propagation=4)])
    assert found.passes == 0
    assert PlanNote.NO_WORK in dict(found.notes)


def test_lengths_are_those_on_the_ellipsoid():
    """A plan 3 km east of the middle of its plane: geographiclib by way of the geodesic length of each piece."""
    from geographiclib.geodesic import Geodesic

    for piece in plan(area(BOX)).pieces:
        (lon1, lat1), (lon2, lat2) = piece.points
        assert piece.length_m == pytest.approx(Geodesic.WGS84.Inverse(lat1, lon1, lat2, lon2)["s12"], abs=1e-6)
        assert PLANE.forward(piece.points).shape == (2, 2)


TRIANGLE = [(0.0, 0.0), (100.0, 0.0), (0.0, 60.0)]


def test_a_triangle_is_worked_to_its_slanted_edge():
    """Rows of 6 m along the base of 100 m, 60 m high: the lower edge of row k lies 6 k m up, where the side is at

    100 - 10 k m; the middle meets it 5 m earlier, which leaves a triangle of 3 m by 5 m: 7.5 m² a row.
    """
    full, centre = (plan(area(TRIANGLE), ends=ends) for ends in (Ends.FULL, Ends.CENTRE))
    assert [length for _, length in rows(full).values()] == pytest.approx([10.0 * k for k in range(1, 11)], abs=1e-3)
    assert [length for _, length in rows(centre).values()] == pytest.approx(
        [10.0 * k - 5.0 for k in range(1, 11)], abs=1e-3
    )
    assert (full.undone_m2, centre.undone_m2) == pytest.approx((0.0, 75.0), abs=0.01)
    assert full.length_m - centre.length_m == pytest.approx(10 * 5.0, abs=1e-3)
    assert dict(centre.notes)[PlanNote.UNDONE] == "75"
    assert PlanNote.UNDONE not in dict(full.notes)
    assert dict(full.notes)[PlanNote.OVER_EDGE] == f"{3.0 * 100.0 / math.hypot(100.0, 60.0):.1f}"


@pytest.mark.parametrize("angle", [15.0, 30.0, 45.0, 70.0])
@pytest.mark.parametrize("headland", [0, 1, 2])
def test_a_slanted_strip_is_worked_beyond_its_headland(angle, headland):
    """A strip 300 m long between edges that its rows meet at an angle: nothing is left inside the headland, and the

    rows end half a width over the tangent of the angle later than their middles do.
    """
    lean = 60.0 / math.tan(math.radians(angle))
    strip = area([(0.0, 0.0), (300.0, 0.0), (300.0 + lean, 60.0), (lean, 60.0)])
    full, centre = (plan(strip, headland=headland, ends=ends) for ends in (Ends.FULL, Ends.CENTRE))
    assert full.undone_m2 == pytest.approx(0.0, abs=0.01)
    later = 3.0 / math.tan(math.radians(angle))
    assert centre.undone_m2 == pytest.approx((10 - 2 * headland) * 3.0 * later, abs=0.05)
    here, there = rows(full), rows(centre)
    assert here.keys() == there.keys()
    inner = [name for name in here if 12.0 + 6.0 * headland < here[name][0] < 48.0 - 6.0 * headland]
    assert inner
    assert [here[name][1] - there[name][1] for name in inner] == pytest.approx([2.0 * later] * len(inner), abs=0.02)
    assert (PlanNote.OVER_EDGE in dict(full.notes)) is (headland == 0)


def test_the_last_row_is_laid_where_its_middle_lies_past_the_edge():
    """62 m across: ten rows of 6 m leave 2 m, which an eleventh works; with an overlap of 1 m the bar works them."""
    wide = area(box(0.0, 0.0, 100.0, 62.0))
    assert (plan(wide).passes, plan(wide).undone_m2) == (11, pytest.approx(0.0, abs=0.01))
    centre = plan(wide, ends=Ends.CENTRE)
    assert (centre.passes, centre.undone_m2) == (10, pytest.approx(200.0, abs=0.01))
    overlapped = plan(area(box(0.0, 0.0, 100.0, 61.0)), overlap_m=1.0)
    assert (overlapped.passes, overlapped.undone_m2) == (12, pytest.approx(0.0, abs=0.01))


def test_a_gap_that_is_meant_counts_as_undone():
    """Bars of 6 m every 10 m over 60 m leave five gaps of 4 m and 1 m at the far edge, along 100 m."""
    found = plan(area(BOX), skip_m=4.0)
    assert found.undone_m2 == pytest.approx(6 * 400.0, abs=0.01)


def test_no_row_leads_through_a_pond():
    """A pond narrower than the bar divides the row all the same."""
    pond = plan(area(BOX, box(40.0, 25.0, 44.0, 29.0)), width_m=24.0, lines=[ab((0.0, 27.0), (100.0, 27.0))])
    divided = [metres(piece.points)[:, 0] for piece in pond.pieces if piece.number == 0]
    assert np.concatenate(divided) == pytest.approx([0.0, 40.0, 44.0, 100.0], abs=1e-3)


def test_circles_are_worked_into_the_corners_of_a_square():
    """A pivot in a square of 120 m: the bar works the corners out to their tips, at 60 m times the root of two."""
    pivot = line(GuidanceKind.PIVOT, [(0.0, 0.0)], radius_m=50.0, direction=1)
    square = area(box(-60.0, -60.0, 60.0, 60.0))
    found = plan(square, lines=[pivot])
    assert max(abs(piece.number) for piece in found.pieces if piece.number < 0) == math.ceil(
        (60.0 * 2**0.5 - 53.0) / 6.0
    )
    assert found.undone_m2 == pytest.approx(0.0, abs=1.0)
    assert plan(square, lines=[pivot], ends=Ends.CENTRE).undone_m2 > 100.0


def test_rows_across_the_antimeridian_keep_their_millimetre(tmp_path):
    """Rows east to west of 400 m at 60 degrees south: written and read back, cut at 180 degrees, each place of a row

    lies on the straight line between its ends; linear interpolation of latitudes would put the cut 5 mm beside it.
    """
    import json

    from taskdata.exchange.passing import passes

    plane = LocalPlane(180.0, -60.0)
    ring = plane.inverse(np.array([(-200.0, 0.0), (200.0, 0.0), (200.0, 60.0), (-200.0, 60.0)]))
    row = GuidanceLine(GuidanceKind.AB, plane.inverse(np.array([(-250.0, 3.0), (230.0, 3.0)])), name="AB")
    dataset = farm(field(Area(AreaKind.BOUNDARY, (ring,)), lines=(row,)))
    passes(dataset, width_m=6.0, output=tmp_path / "passes.geojson")
    features = json.loads((tmp_path / "passes.geojson").read_text())["features"]
    assert len(features) == 10
    for number, feature in enumerate(features):
        places = plane.forward(np.vstack([np.array(part) for part in feature["geometry"]["coordinates"]]))
        assert len(places) == 4
        assert places[:, 1] == pytest.approx([57.0 - 6.0 * number] * 4, abs=1e-3)


def test_the_heading_of_a_curve_is_from_its_first_point_to_its_last():
    found = plan(area(BOX), lines=[line(GuidanceKind.CURVE, [(5.0, 3.0), (50.0, 13.0), (95.0, 3.0)])])
    assert found.heading_deg == pytest.approx(90.0, abs=0.01)
