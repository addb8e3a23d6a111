"""Well-known binary against the layout of OGC 06-103r4 section 8.2, with shapely (GEOS) as the independent reader."""

from struct import pack

import numpy as np
import pytest
import shapely

from taskdata.errors import SourceError
from taskdata.geometry import wkb

RING = np.array([(0, 0), (4, 0), (4, 4), (0, 4)], dtype=float)
HOLE = np.array([(1, 1), (1, 2), (2, 2), (1, 1)], dtype=float)


def test_point_byte_by_byte():
    # OGC 06-103r4 section 8.2: byte order 1, type 1 (with heights 1001), coordinates as IEEE doubles
    assert wkb.points_wkb([(1.0, 2.0)]) == [bytes.fromhex("0101000000000000000000f03f0000000000000040")]
    assert wkb.points_wkb([(1.0, 2.0, 3.0)]) == [b"\x01" + pack("<I3d", 1001, 1, 2, 3)]


def test_polygon_byte_by_byte():
    # OGC 06-103r4 section 8.2: type 3, ring count, then point count and points of each ring
    points = (0, 0, 4, 0, 4, 4, 0, 4, 0, 0)
    assert wkb.polygons_wkb([(RING, [])]) == [b"\x01" + pack("<III10d", 3, 1, 5, *points)]


def test_many_points():
    points = np.random.default_rng(5).uniform(-90, 90, (1000, 2))
    points[7] = np.nan
    records = wkb.points_wkb(points)
    assert records[7] is None
    assert {len(record) for record in records if record} == {21}
    shapes = shapely.from_wkb(np.array(records, dtype=object))
    assert np.array_equal(shapely.get_coordinates(shapes), np.delete(points, 7, axis=0))
    assert np.array_equal(wkb.read_points(records), points, equal_nan=True)
    data, valid = wkb.point_records(points)
    assert data.shape == (1000, 21)
    assert data[8].tobytes() == records[8]
    assert np.flatnonzero(~valid).tolist() == [7]


def test_points_with_heights():
    points = np.array([(1, 2, 3), (4, 5, np.nan), (np.nan, 1, 1)])
    records = wkb.points_wkb(points)
    assert records[2] is None
    assert shapely.from_wkb(records[0]).z == 3
    assert np.array_equal(wkb.read_points(records)[:2], points[:2], equal_nan=True)


@pytest.mark.parametrize("height", [False, True])
def test_every_type_agrees_with_the_independent_reader(height):
    ring, hole = (np.column_stack([r, np.arange(len(r))]) if height else r for r in (RING, HOLE))
    hole[-1] = hole[0]
    records = [
        *wkb.lines_wkb([ring]),
        *wkb.polygons_wkb([(ring, [hole])]),
        *wkb.multi_points_wkb([ring]),
        *wkb.multi_lines_wkb([[ring, hole]]),
        *wkb.multi_polygons_wkb([[(ring, [hole]), (hole, [])]]),
    ]
    expected = [
        shapely.LineString(ring),
        shapely.Polygon(ring, [hole]),
        shapely.MultiPoint(ring),
        shapely.MultiLineString([ring, hole]),
        shapely.MultiPolygon([shapely.Polygon(ring, [hole]), shapely.Polygon(hole)]),
    ]
    for record, shape in zip(records, expected, strict=True):
        read = shapely.from_wkb(record)
        assert read.geom_type == shape.geom_type
        assert read.has_z == height
        assert shapely.to_wkb(shape, flavor="iso", byte_order=1) == record


def test_reading_back():
    records = [
        *wkb.points_wkb(RING[:1]),
        *wkb.lines_wkb([RING]),
        *wkb.multi_polygons_wkb([[(RING, [HOLE]), (HOLE, [])]]),
        None,
        shapely.to_wkb(shapely.Polygon()),
        shapely.to_wkb(shapely.GeometryCollection([shapely.Point(1, 2), shapely.LineString(RING)]), byte_order=0),
    ]
    point, line, polygons, missing, empty, collection = wkb.read(records)
    assert (point.code, point.parts[0].tolist()) == (wkb.POINT, [[0, 0]])
    assert (line.code, line.parts[0].tolist()) == (wkb.LINE_STRING, RING.tolist())
    assert polygons.code == wkb.MULTI_POLYGON
    assert [(len(exterior), [len(hole) for hole in holes]) for exterior, holes in polygons.parts] == [(5, [4]), (4, [])]
    assert missing is None
    assert empty is None
    assert [part.code for part in collection.parts] == [wkb.POINT, wkb.LINE_STRING]


def test_nothing_gives_none():
    nothing = np.empty((0, 2))
    assert wkb.points_wkb(nothing) == []
    assert wkb.lines_wkb([None, nothing]) == [None, None]
    assert wkb.polygons_wkb([None, (nothing, [])]) == [None, None]
    assert wkb.multi_points_wkb([None, nothing, [(np.nan, 1)]]) == [None, None, None]
    assert wkb.multi_lines_wkb([None, [], [nothing]]) == [None, None, None]
    assert wkb.multi_polygons_wkb([None, [], [(nothing, [])]]) == [None, None, None]
    assert wkb.read([]) == []
    assert wkb.read_points([]).shape == (0, 2)
    assert np.isnan(wkb.read_points([None])).all()


def test_what_cannot_be_read_says_so():
    for record in (b"", b"\x01\x02", b"\x01\x63\x00\x00\x00"):
        with pytest.raises(SourceError, match="well-known binary"):
            wkb.read([record])
    with pytest.raises(SourceError, match="not a point"):
        wkb.read_points(wkb.lines_wkb([RING]))


def test_mixed_heights_are_refused():
    high = np.column_stack([HOLE, HOLE[:, 0]])
    with pytest.raises(ValueError, match="heights"):
        wkb.polygons_wkb([(RING, [high])])
    with pytest.raises(ValueError, match="heights"):
        wkb.multi_lines_wkb([[RING, high]])
    with pytest.raises(ValueError, match="shape"):
        wkb.points_wkb([(1, 2, 3, 4)])
