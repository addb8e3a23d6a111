"""Areas from rings: closed forms, geographiclib as the second way to areas, and the figures of OGC 06-103r4.

The polygons of that standard (6.1.11.1, figures of polygons with one, two and three rings, of objects that are no
polygon, and of multi-polygons) stand here with coordinates of our own, in units of 20 m.
"""

import itertools
import math

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from taskdata.geometry import areas, loops
from taskdata.geometry.areas import GroundPart
from taskdata.geometry.loops import RingFault
from taskdata.geometry.plane import LocalPlane

EARTH = Geodesic.WGS84
QUICK = settings(max_examples=60, deadline=None, derandomize=True, database=None)
PLACES = [(7.0, 54.3), (179.999, -17.0), (-180.0, 65.0), (25.0, 89.7), (-60.0, -89.9), (140.0, 0.0)]
OUTER = [(0, 0), (10, 0), (10, 10), (0, 10)]
LOW = [(1, 1), (4, 1), (4, 4), (1, 4)]
HIGH = [(6, 6), (9, 6), (9, 9), (6, 9)]
BOW = [(0, 0), (10, 10), (10, 0), (0, 10)]
SPIKED = [(0, 0), (10, 0), (10, 5), (14, 5), (10, 5), (10, 10), (0, 10)]
UNIT = 20.0


def stored(plane, ring, *, closed=True, backwards=False):
    """A ring in units as it would be stored: degrees, closed or not, in either direction."""
    points = plane.inverse(UNIT * np.array(ring, dtype=float))
    points = points[::-1] if backwards else points
    return np.vstack([points, points[:1]]) if closed else points


def square(west, south, size):
    return [(west, south), (west + size, south), (west + size, south + size), (west, south + size)]


def units(shape):
    """The area of a shape in metres, in square units."""
    return shapely.area(shape) / UNIT**2


def faults(ground):
    return [(bad.part, bad.number, bad.is_hole, bad.fault) for bad in ground.bad]


OGC = [
    ("one ring", [OUTER], 100.0),
    ("two rings", [OUTER, LOW], 91.0),
    ("three rings", [OUTER, LOW, HIGH], 82.0),
    ("a hole that touches the outer ring at a point", [OUTER, [(0, 5), (4, 3), (4, 7)]], 92.0),
    ("two holes that touch at a point", [OUTER, LOW, [(4, 4), (8, 4), (8, 8)]], 83.0),
    ("a hole that crosses the outer ring", [OUTER, [(5, 5), (12, 5), (12, 8), (5, 8)]], 85.0),
    ("a hole outside", [OUTER, [(12, 2), (14, 2), (14, 4), (12, 4)]], 100.0),
    ("holes that cross", [OUTER, LOW, [(3, 3), (7, 3), (7, 7), (3, 7)]], 76.0),
    ("a hole in a hole", [OUTER, [(1, 1), (8, 1), (8, 8), (1, 8)], [(3, 3), (5, 3), (5, 5), (3, 5)]], 51.0),
    ("a hole with an edge on the outer ring", [OUTER, [(0, 3), (4, 3), (4, 7), (0, 7)]], 84.0),
    ("a hole that parts the inside", [OUTER, [(0, 5), (5, 0), (10, 5), (5, 10)]], 50.0),
    ("a spike outwards", [SPIKED], 100.0),
    ("a ring that crosses itself", [BOW], 50.0),
    ("a ring that touches itself", [[(0, 0), (5, 5), (10, 0), (10, 10), (5, 5), (0, 10)]], 50.0),
]


@pytest.mark.parametrize("place", PLACES, ids=str)
@pytest.mark.parametrize(("name", "rings", "area"), OGC, ids=[case[0] for case in OGC])
def test_figures_of_the_standard_in_every_place(name, rings, area, place):
    plane = LocalPlane(*place)
    parts = [
        GroundPart([stored(plane, rings[0], closed=False)], [stored(plane, ring, backwards=True) for ring in rings[1:]])
    ]
    ground = areas.in_plane(parts, plane)
    assert shapely.is_valid(ground.shape)
    assert units(ground.shape) == pytest.approx(area, rel=1e-6)
    assert (RingFault.OUTSIDE in {bad.fault for bad in ground.bad}) == (name == "a hole outside")
    crossing = {"a spike outwards", "a ring that crosses itself", "a ring that touches itself"}
    assert (RingFault.CROSSING in {bad.fault for bad in ground.bad}) == (name in crossing)


@pytest.mark.parametrize("place", PLACES, ids=str)
@pytest.mark.parametrize("one_polygon", [True, False])
def test_an_island_in_a_pond_is_ground_and_the_puddle_on_it_is_not(place, one_polygon):
    plane = LocalPlane(*place)
    field, pond, island, puddle = (
        stored(plane, ring) for ring in (OUTER, square(2, 2, 6), square(3, 3, 4), square(4, 4, 1))
    )
    apart = [GroundPart([island], [puddle]), GroundPart([field], [pond])]
    ground = areas.in_plane([GroundPart([island, field], [pond, puddle])] if one_polygon else apart, plane)
    assert units(ground.shape) == pytest.approx(100 - 36 + 16 - 1, rel=1e-6)
    inside, water, wet = (shapely.Point(UNIT * x, UNIT * y) for x, y in ((3.5, 3.5), (2.5, 2.5), (4.5, 4.5)))
    assert [shapely.contains(ground.shape, place) for place in (inside, water, wet)] == [True, False, False]
    assert ground.bad == ()


def test_a_hole_kept_as_a_polygon_of_its_own_is_cut_out_of_the_outline_around_it():
    plane = LocalPlane(7.0, 54.3)
    ground = areas.in_plane([GroundPart([], [stored(plane, LOW)]), GroundPart([stored(plane, OUTER)])], plane)
    assert units(ground.shape) == pytest.approx(91.0, rel=1e-6)
    assert ground.bad == ()


def test_a_hole_goes_to_the_outline_of_its_own_polygon_first():
    """The second polygon overlaps; the hole of the first is not cut out of it."""
    plane = LocalPlane(7.0, 54.3)
    parts = [GroundPart([stored(plane, OUTER)], [stored(plane, LOW)]), GroundPart([stored(plane, square(0, 0, 5))])]
    assert units(areas.in_plane(parts, plane).shape) == pytest.approx(100.0, rel=1e-6)


def test_each_ring_that_counts_for_nothing_is_named():
    plane = LocalPlane(7.0, 54.3)
    field = stored(plane, OUTER)
    broken, short = np.array([(np.nan, 54.0), (7, 54), (7, 55)]), stored(plane, [(0, 0), (5, 0), (0, 0)])
    flat, high = stored(plane, [(0, 0), (5, 5), (9, 9), (2, 2)]), np.array([(7, 89), (8, 91), (9, 89.0)])
    outside = stored(plane, square(12, 2, 2))
    parts = [GroundPart([field, broken], [short, outside]), GroundPart([flat, high, np.empty((0, 2))])]
    for built in (areas.in_plane(parts, plane), areas.in_degrees(parts), areas.on_map(parts)):
        assert shapely.area(built.shape) == pytest.approx(shapely.area(built.shape.convex_hull))
        assert faults(built) == [
            (0, 1, False, RingFault.NO_NUMBER),
            (0, 0, True, RingFault.FEW_PLACES),
            (1, 0, False, RingFault.NO_AREA),
            (1, 1, False, RingFault.OFF_EARTH),
            (1, 2, False, RingFault.FEW_PLACES),
            (0, 1, True, RingFault.OUTSIDE),
        ]
    nothing = areas.in_plane([GroundPart([flat])], plane)
    assert (nothing.shape, faults(nothing)) == (None, [(0, 0, False, RingFault.NO_AREA)])


def test_layers_show_every_ring_that_has_a_shape():
    plane = LocalPlane(7.0, 54.3)
    field, flat = stored(plane, OUTER, backwards=True), stored(plane, [(0, 0), (5, 5), (9, 9), (2, 2)])
    shown, bad = areas.pieces(
        [GroundPart([field], [stored(plane, LOW)]), GroundPart([flat]), GroundPart([stored(plane, LOW)[:2]])]
    )
    assert [len(holes) for _, holes in shown] == [1, 0]
    assert [item.fault for item in bad] == [RingFault.NO_AREA, RingFault.FEW_PLACES]
    assert shapely.LinearRing(shown[0][0]).is_ccw
    assert not shapely.LinearRing(shown[0][1][0]).is_ccw
    assert {tuple(point) for point in shown[0][0]} == {tuple(point) for point in field}


@pytest.mark.parametrize("place", PLACES[:3], ids=str)
def test_the_three_layouts_are_the_same_ground(place):
    plane = LocalPlane(*place)
    parts = [GroundPart([stored(plane, OUTER), stored(plane, square(3, 3, 4))], [stored(plane, square(2, 2, 6))])]
    metres, degrees, cut = areas.in_plane(parts, plane), areas.in_degrees(parts), areas.on_map(parts)
    assert shapely.area(degrees.shape) == pytest.approx(shapely.area(cut.shape))
    bounds = shapely.bounds(cut.shape)
    assert bounds[0] >= -180.0
    assert bounds[2] <= 180.0
    for shape in (degrees.shape, cut.shape):
        rings = loops.polygons_of(shape)
        area = sum(geographic(outer) - sum(geographic(hole) for hole in holes) for outer, holes in rings)
        assert area == pytest.approx(shapely.area(metres.shape), rel=1e-4)


def geographic(ring):
    """The area of a ring on the ellipsoid, m², by geographiclib."""
    polygon = EARTH.Polygon()
    for lon, lat in ring[:-1]:
        polygon.AddPoint(lat, lon)
    return abs(polygon.Compute()[2])


@st.composite
def stars(draw):
    lon, lat = draw(st.floats(-180, 180) | st.floats(179.99, 180)), draw(st.floats(-89.9, 89.9))
    size = 10 ** draw(st.floats(1.5, 3.7))
    radii = draw(st.lists(st.floats(0.5, 1.5), min_size=5, max_size=12))
    ends = [EARTH.Direct(lat, lon, -360 * i / len(radii), size * radius) for i, radius in enumerate(radii)]
    return np.array([(end["lon2"], end["lat2"]) for end in [*ends, ends[0]]])


@QUICK
@given(stars())
def test_areas_agree_with_geographiclib_anywhere_on_earth(ring):
    ground = areas.in_plane([GroundPart([ring])], LocalPlane.centred_on(ring))
    assert ground.bad == ()
    assert shapely.area(ground.shape) == pytest.approx(geographic(ring), rel=2e-6)


@QUICK
@given(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), min_size=3, max_size=9))
def test_loops_enclose_all_that_a_ring_goes_round(corners):
    """Random rings on a raster, against the non-zero and even-odd count of the cells that they go round."""
    ring = np.array([*corners, corners[0]], dtype=float)
    found = loops.loops(ring / 1000.0)
    cells = [(x + 0.37, y + 0.41) for x in range(6) for y in range(6)]
    odd = [sum(_crossings(ring, cell)) % 2 == 1 for cell in cells]
    shapes = [shapely.Polygon(outer * 1000.0) for outer in found]
    for cell, is_inside in zip(cells, odd, strict=True):
        if is_inside:
            assert any(shapely.intersects_xy(shape, *cell) for shape in shapes)


def _crossings(ring, cell):
    """Whether each edge crosses the line from a place to the east."""
    for (x, y), (u, v) in itertools.pairwise(ring):
        crosses = (y > cell[1]) != (v > cell[1])
        yield crosses and cell[0] < x + (cell[1] - y) / (v - y) * (u - x)


def test_what_is_simple_is_what_geos_takes_for_valid():
    draw = np.random.default_rng(3)
    rings = [draw.integers(0, 5, (draw.integers(3, 7), 2)) / 1000.0 for _ in range(200)]
    simple = [loops.is_simple(ring) for ring in rings]
    assert simple == [shapely.Polygon(ring).is_valid and len(np.unique(ring, axis=0)) > 2 for ring in rings]
    assert 20 < sum(simple) < 180
    assert [bool(shapely.is_valid(shape)) for shape in loops.ring_shapes(rings)] == [
        shapely.Polygon(ring).is_valid for ring in rings
    ]


def test_a_ring_round_the_pole_has_ground():
    plane = LocalPlane(0.0, 90.0)
    angles = np.radians(np.arange(0, 360, 1))
    cap = plane.inverse(1000.0 * np.column_stack([np.cos(angles), np.sin(angles)]))
    assert loops.is_simple(cap)
    ground = areas.in_plane([GroundPart([cap])], plane)
    assert shapely.area(ground.shape) == pytest.approx(math.pi * 1e6, rel=1e-4)
    assert len(loops.loops(cap)) == 1
