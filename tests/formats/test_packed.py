"""Columns built as one block: by the layout of OGC 06-103r4, section 8.2, read back by shapely and by themselves."""

from __future__ import annotations

from struct import pack

import numpy as np
import pyarrow as pa
import shapely

from taskdata.formats.geometries import fixed_size_wkb


def test_a_point_byte_by_byte() -> None:
    """Byte order 1, type 1, coordinates as IEEE doubles."""
    column = fixed_size_wkb.points(np.array([1.0, np.nan, 3.0]), np.array([2.0, 2.0, np.nan]))
    assert column.to_pylist() == [bytes.fromhex("0101000000000000000000f03f0000000000000040"), None, None]


def test_a_box_byte_by_byte() -> None:
    """Byte order 1, type 3, one ring of five points."""
    sides = (np.array([side]) for side in (0.0, 0.0, 4.0, 2.0))
    corners = (0, 0, 4, 0, 4, 2, 0, 2, 0, 0)
    assert fixed_size_wkb.boxes(*sides).to_pylist() == [b"\x01" + pack("<III10d", 3, 1, 5, *corners)]


def test_points_and_boxes_are_unpacked_as_shapely_reads_them() -> None:
    lon, lat = np.linspace(7, 8, 50), np.linspace(54, 55, 50)
    for column, code in (
        (fixed_size_wkb.points(lon, lat), fixed_size_wkb.POINT),
        (fixed_size_wkb.boxes(lon, lat, lon + 0.1, lat + 0.2), fixed_size_wkb.POLYGON),
    ):
        found = fixed_size_wkb.unpacked(column)
        assert found is not None
        assert found[0] == code
        np.testing.assert_array_equal(found[1], shapely.get_coordinates(shapely.from_wkb(column.to_pylist())))
        part = fixed_size_wkb.unpacked(column.slice(7, 11))
        assert part is not None
        assert len(part[1]) * 50 == len(found[1]) * 11


def test_other_columns_are_not_unpacked() -> None:
    lon = np.array([7.0, np.nan])
    assert fixed_size_wkb.unpacked(fixed_size_wkb.points(lon, lon)) is None
    assert fixed_size_wkb.unpacked(fixed_size_wkb.points(lon[:0], lon[:0])) is None
    shapes = [shapely.Point(1, 2), shapely.LineString([(0, 0), (1, 1)])]
    assert fixed_size_wkb.unpacked(pa.array(shapely.to_wkb(shapes).tolist(), pa.binary())) is None
    same_size = [shapely.to_wkb(shapely.Point(1, 2), byte_order=0), shapely.to_wkb(shapely.Point(1, 2), byte_order=1)]
    assert fixed_size_wkb.unpacked(pa.array(same_size, pa.binary())) is None
