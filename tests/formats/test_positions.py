"""Points are placed without a shape for each, and come out as with shapes; shapely is the second method."""

from __future__ import annotations

import struct
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
import shapely
from pyproj import Transformer

from taskdata.formats.base import RawTable
from taskdata.formats.geometries import fixed_size_wkb
from taskdata.formats.placing.guessing import guess_of
from taskdata.formats.placing.positions import PointRows, ShapeRows, positions_of, sample_points
from taskdata.formats.placing.sampling import sample_of
from taskdata.formats.placing.to_wgs84 import layer_to_wgs84

PLACES = np.array([[565_000.0, 5_984_000.0], [566_000.0, 5_984_500.0], [567_000.0, 5_985_000.0], [np.nan, 1.0]])
POINTS = [struct.pack("<BIdd", 1, 1, *place) for place in PLACES]


def table(column: pa.Array | pa.ChunkedArray, crs: str | None = "EPSG:25832") -> RawTable:
    return RawTable("marks", "marks.csv", pa.table({"geometry": column}), crs=crs)


def finite(shapes: Any) -> Any:
    found = shapely.get_coordinates(shapes)
    return found[np.isfinite(found).all(axis=1)]


COLUMNS: dict[str, pa.Array | pa.ChunkedArray] = {
    "plain": pa.array(POINTS, pa.binary()),
    "large": pa.array(POINTS, pa.large_binary()),
    "with nulls": pa.array([POINTS[0], None, *POINTS[1:], None], pa.large_binary()),
    "sliced": pa.array([None, *POINTS, None], pa.binary())[1:5],
    "chunks": pa.chunked_array([pa.array(POINTS[:1], pa.binary()), pa.array([], pa.binary()), pa.array(POINTS[1:])]),
    "nulls of full size": fixed_size_wkb.points(PLACES[:, 0], PLACES[:, 1]),
    "nothing": pa.array([], pa.binary()),
    "nothing but nulls": pa.array([None, None], pa.binary()),
}


@pytest.mark.parametrize("name", COLUMNS)
def test_points_come_out_as_their_shapes_do(name: str) -> None:
    raw = table(COLUMNS[name])
    assert isinstance(positions_of(raw)[1], PointRows)
    placed, datum, findings = layer_to_wgs84(raw, None, "marks.csv")
    shapes = shapely.from_wkb(np.array(raw.table["geometry"].to_pylist(), dtype=object))
    transformer = Transformer.from_crs(25832, 4326, always_xy=True)
    expected = shapely.transform(shapes, lambda xy: np.column_stack(transformer.transform(xy[:, 0], xy[:, 1])))
    found = shapely.from_wkb(np.array(placed.table["geometry"].to_pylist(), dtype=object))
    assert shapely.is_missing(found).tolist() == shapely.is_missing(shapes).tolist()
    assert finite(found) == pytest.approx(finite(expected), abs=1e-12)
    assert findings == []
    assert datum is not None


OTHERS: dict[str, Any] = {
    "a line": shapely.to_wkb(shapely.LineString([[0, 0], [1, 1]])),
    "big-endian": shapely.to_wkb(shapely.Point(1, 2), byte_order=0),
    "a height": shapely.to_wkb(shapely.Point(1, 2, 3)),
    "another kind in as many bytes": b"\x01" + struct.pack("<I", 9) + bytes(16),
    "no bytes": b"",
}


@pytest.mark.parametrize("name", OTHERS)
def test_anything_else_is_read_by_its_shapes(name: str) -> None:
    raw = table(pa.array([POINTS[0], OTHERS[name]], pa.binary()))
    assert isinstance(positions_of(raw)[1], ShapeRows)


def test_a_place_that_no_system_has_is_left_out_and_told() -> None:
    far = struct.pack("<BIdd", 1, 1, 1e30, 5_984_000.0)
    placed, _, findings = layer_to_wgs84(table(pa.array([POINTS[0], far, POINTS[1]])), None, "marks.csv")
    assert placed.table["geometry"].is_valid().to_pylist() == [True, False, True]
    assert [(item.rule.id, item.facts["row"]) for item in findings] == [("import.bad-geometry", 2)]


def test_degrees_stay_byte_for_byte() -> None:
    raw = table(pa.array([struct.pack("<BIdd", 1, 1, 10.0, 54.0)] * 3), None)
    placed, _, _ = layer_to_wgs84(raw, None, "marks.csv")
    assert placed.table is raw.table


def test_a_sample_is_from_all_over() -> None:
    many = np.column_stack([np.linspace(0.0, 1.0, 5000), np.zeros(5000)])
    _, positions, _ = positions_of(table(fixed_size_wkb.points(many[:, 0], many[:, 1])))
    sample = sample_points(positions)
    assert sample is not None
    assert 900 < len(sample) < 1100
    assert (sample[:, 0].min(), sample[:, 0].max()) == pytest.approx((0.0, 1.0), abs=1e-2)


def test_a_ring_that_begins_at_no_place_costs_its_row_alone() -> None:
    """Its first and last position have no place, so that nothing closes it any more."""
    sound = shapely.box(565_000.0, 5_984_000.0, 565_100.0, 5_984_100.0)
    lost = shapely.Polygon([[1e30, 5_984_000.0], [565_000.0, 5_984_000.0], [565_100.0, 5_984_100.0]])
    rows = shapely.to_wkb(np.array([sound, lost, sound])).tolist()
    placed, _, findings = layer_to_wgs84(table(pa.array(rows, pa.binary())), None, "marks.csv")
    assert placed.table["geometry"].is_valid().to_pylist() == [True, False, True]
    assert [(item.rule.id, item.facts["row"]) for item in findings] == [("import.bad-geometry", 2)]


def test_numbers_that_are_no_positions_are_no_ground_for_a_guess() -> None:
    """A number beyond 1e9 is no coordinate of any system."""
    wild = [struct.pack("<BIdd", 1, 1, 1e308, 1e308), struct.pack("<BIdd", 1, 1, np.inf, 0.0)]
    assert sample_of(table(pa.array(wild, pa.binary()), None)) is None
    assert guess_of(table(pa.array(wild, pa.binary()), "EPSG:25832"), []) is None
