"""Edits made with other programs come back, and nothing else changes."""

from __future__ import annotations

import json
import sqlite3
import struct
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapefile
import shapely
from geographiclib.geodesic import Geodesic

from taskdata.formats.edits.merge_edits import merge
from taskdata.formats.read import read
from taskdata.ledger import Loss, LossKind, Refusal
from taskdata.model.dataset import Dataset
from taskdata.model.fields import GuidanceKind
from taskdata.model.shapes import AreaKind, LineKind, PointKind
from taskdata.model.tasks import Setpoint
from tests.formats.exchange import put
from tests.formats.valley import LAT, LON, carried, dataset

Feature = dict[str, Any]
FAR = "it is more than 1000 m from every field"
Edit = Callable[[list[Feature]], None]


def edited(folder: Path, **edits: Edit) -> tuple[Dataset, Dataset, list[Loss]]:
    """Write, change features of some layers as GeoJSON, read, merge: the base, the result, the ledger."""
    base = dataset()
    path, _ = put(base, "geojson", folder, carried())
    for name, edit in edits.items():
        file = path / f"{name}.geojson"
        document = json.loads(file.read_text(encoding="utf-8"))
        edit(document["features"])
        file.write_text(json.dumps(document), encoding="utf-8")
    merged, losses = merge(base, read(path))
    return base, merged, losses


def the(features: list[Feature], key: int) -> Feature:
    return next(feature for feature in features if feature["properties"]["key"] == key)


def test_a_name_and_a_vertex_of_a_boundary(tmp_path: Path) -> None:
    def edit(features: list[Feature]) -> None:
        the(features, 10)["properties"]["name"] = "Breite"
        ring = the(features, 10)["geometry"]["coordinates"][0][0]
        ring[2] = [LON + 0.02, LAT + 0.0071]

    base, merged, losses = edited(tmp_path, fields=edit)
    assert losses == []
    field, old = merged.fields[0], base.fields[0]
    assert (field.key, field.name) == (10, "Breite")
    assert (field.groups, field.points, field.code) == (old.groups, old.points, old.code)
    (boundary,) = field.boundaries
    assert (boundary.key, boundary.id) == (11, "PLN1")
    assert boundary.interiors[0] is old.boundaries[0].interiors[0]
    assert [LON + 0.02, LAT + 0.0071] in boundary.exteriors[0].tolist()
    assert all(new is old for new, old in zip(merged.fields[1:], base.fields[1:], strict=True))
    assert merged.tasks == base.tasks


def test_one_of_several_polygons_moves(tmp_path: Path) -> None:
    def edit(features: list[Feature]) -> None:
        polygons = the(features, 50)["geometry"]["coordinates"]
        polygons[0][0] = [[x + 0.0001, y] for x, y in polygons[0][0]]
        polygons.append([[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 0.0]]])

    base, merged, losses = edited(tmp_path, fields=edit)
    assert losses == []
    moved, two, line, new = merged.fields[1].boundaries
    assert (moved.key, two, line) == (51, *base.fields[1].boundaries[1:])
    assert moved.exteriors[0][:, 0].min() == LON + 0.02 + 0.0001
    assert (new.key, new.kind) == (None, AreaKind.BOUNDARY)


def test_a_field_across_the_antimeridian_is_joined(tmp_path: Path) -> None:
    def edit(features: list[Feature]) -> None:
        for polygon in the(features, 60)["geometry"]["coordinates"]:
            polygon[0] = [[x, -16.489 if y == -16.49 else y] for x, y in polygon[0]]

    _, merged, losses = edited(tmp_path, fields=edit)
    assert losses == []
    (boundary,) = merged.fields[2].boundaries
    assert boundary.key == 61
    assert sorted(set(boundary.exteriors[0][:, 0])) == [-179.995, 179.995]
    assert boundary.exteriors[0][:, 1].max() == -16.489
    assert len(boundary.interiors) == 1


def test_a_drawn_direction_takes_its_first_vertex_and_heading(tmp_path: Path) -> None:
    def edit(features: list[Feature]) -> None:
        the(features, 22)["geometry"]["coordinates"] = [[LON, LAT], [LON + 0.001, LAT + 0.002], [LON + 0.003, LAT]]

    _, merged, losses = edited(tmp_path, guidance_lines=edit)
    line = merged.fields[0].guidance[1]
    truth = Geodesic.WGS84.Inverse(LAT, LON, LAT, LON + 0.003)["azi1"]
    assert losses == []
    assert (line.kind, line.key) == (GuidanceKind.A_PLUS, 22)
    assert line.points.tolist() == [[LON, LAT]]
    assert line.heading_deg == pytest.approx(truth, abs=1e-9)


def test_a_drawn_direction_is_500_m_along_its_heading(tmp_path: Path) -> None:
    path, _ = put(dataset(), "geojson", tmp_path, None)
    features = json.loads((path / "guidance_lines.geojson").read_text(encoding="utf-8"))["features"]
    assert [feature["properties"]["drawn"] for feature in features] == [False, True, False, True, False, False]
    (x1, y1), (x2, y2) = the(features, 22)["geometry"]["coordinates"]
    truth = Geodesic.WGS84.Inverse(y1, x1, y2, x2)
    assert truth["s12"] == pytest.approx(500.0, abs=1e-6)
    assert truth["azi1"] % 360 == pytest.approx(359.9999, abs=1e-9)
    for x, y in the(features, 24)["geometry"]["coordinates"]:
        assert Geodesic.WGS84.Inverse(LAT + 0.003, LON + 0.004, y, x)["s12"] == pytest.approx(150.25, abs=1e-6)


def test_a_moved_circle_moves_its_centre_and_keeps_its_radius(tmp_path: Path) -> None:
    def edit(features: list[Feature]) -> None:
        ring = the(features, 24)["geometry"]["coordinates"]
        ring[:] = [[x + 0.001, y + 0.0001] for x, y in ring]

    base, merged, losses = edited(tmp_path, guidance_lines=edit)
    line = merged.fields[0].guidance[3]
    assert losses == []
    assert line.radius_m == 150.25
    distance = Geodesic.WGS84.Inverse(*line.points[0][::-1], LAT + 0.0031, LON + 0.005)["s12"]
    assert distance < 0.002
    assert merged.fields[0].guidance[0] is base.fields[0].guidance[0]


def test_values_of_guidance(tmp_path: Path) -> None:
    def edit(features: list[Feature]) -> None:
        the(features, 21)["properties"] |= {
            "spacing_m": 24,
            "propagation": "right",
            "extension": None,
            "kind": "zigzag",
        }
        the(features, 21)["properties"]["swaths_left"] = "viele"

    _, merged, losses = edited(tmp_path, guidance_lines=edit)
    line = merged.fields[0].guidance[0]
    assert (line.spacing_m, line.propagation, line.extension, line.kind, line.swaths_left) == (24.0, 3, None, "ab", 0)
    assert [(loss.what, loss.why.split(",")[0]) for loss in losses] == [
        ("kind 'zigzag' of row 1 of guidance_lines", "it should be one of ab"),
        ("swaths_left 'viele' of row 1 of guidance_lines", "it should be a whole number"),
    ]
    assert all(isinstance(loss, Refusal) for loss in losses)
    assert {loss.element for loss in losses} == {"GPN1"}


def test_rows_removed(tmp_path: Path) -> None:
    def but(*keys: int) -> Edit:
        return lambda features: features.__setitem__(
            slice(None), [feature for feature in features if feature["properties"]["key"] not in keys]
        )

    base, merged, losses = edited(
        tmp_path, fields=but(50, 80), guidance_lines=but(21, 63), points=but(41), areas=but(13), treatment_zones=but(92)
    )
    assert losses == []
    assert [field.key for field in merged.fields] == [10, 60, 70]
    assert [line.key for line in merged.fields[0].guidance] == [22, 23, 24, 25]
    assert merged.fields[0].guidance[1].boundaries == ()
    assert [point.key for point in merged.fields[0].points] == [42]
    assert merged.fields[1].groups == ()
    assert [zone.key for zone in merged.tasks[0].zones] == [91]
    assert merged.fields[0].boundaries == base.fields[0].boundaries


def test_rows_added(tmp_path: Path) -> None:
    def line(features: list[Feature]) -> None:
        geometry = {"type": "LineString", "coordinates": [[LON + 0.001, LAT + 0.001], [LON + 0.002, LAT + 0.002]]}
        features.append({"type": "Feature", "geometry": geometry, "properties": {"name": "neu", "spacing_m": 3}})

    def field(features: list[Feature]) -> None:
        ring = [[1.0, 1.0], [1.1, 1.0], [1.1, 1.1], [1.0, 1.0]]
        geometry = {"type": "Polygon", "coordinates": [ring]}
        features.append({"type": "Feature", "geometry": geometry, "properties": {"name": "Neuland", "key": None}})
        features.append({"type": "Feature", "geometry": None, "properties": the(features, 10)["properties"]})

    def point(features: list[Feature]) -> None:
        geometry = {"type": "Point", "coordinates": [1.05, 1.01]}
        features.append({"type": "Feature", "geometry": geometry, "properties": {"kind": "storage", "key": 4711}})
        features.append({"type": "Feature", "geometry": None, "properties": {"kind": "storage"}})

    base, merged, losses = edited(tmp_path, guidance_lines=line, fields=field, points=point)
    added = merged.fields[0].groups[0].lines[-1]
    assert (added.key, added.kind, added.name, added.spacing_m) == (None, GuidanceKind.AB, "neu", 3.0)
    assert merged.fields[0].groups[0].lines[0] is base.fields[0].groups[0].lines[0]
    new, copy = merged.fields[5:]
    assert (new.key, new.name, new.id) == (None, "Neuland", "PFD6")
    assert [(item.kind, item.lon) for item in new.points] == [(PointKind.STORAGE, 1.05)]
    assert (copy.key, copy.id, copy.name) == (None, "PFD7", base.fields[0].name)
    assert [loss.what for loss in losses] == ["the new row 4 of points"]


def test_what_lies_far_from_every_field_goes_into_a_new_one_and_is_told(tmp_path: Path) -> None:
    """The lines lie about 500 km north of the fields (4.5 degrees of 111 km)."""

    def line(features: list[Feature]) -> None:
        for name, north in (("fern", 4.5), ("auch fern", 4.6)):
            geometry = {"type": "LineString", "coordinates": [[LON, LAT + north], [LON + 0.001, LAT + north]]}
            features.append({"type": "Feature", "geometry": geometry, "properties": {"name": name}})

    base, merged, losses = edited(tmp_path, guidance_lines=line)
    assert merged.fields[:-1] == base.fields
    assert [item.name for item in merged.fields[-1].guidance] == ["fern", "auch fern"]
    new = merged.fields[-1]
    assert new.boundaries == ()
    assert [(loss.kind, loss.what, loss.why) for loss in losses] == [
        (LossKind.CHANGED, f"{name} of guidance_lines goes into {new.id}, {new.name}", FAR)
        for name in ("fern", "auch fern")
    ]


def test_a_line_changes_its_field(tmp_path: Path) -> None:
    def edit(features: list[Feature]) -> None:
        the(features, 31)["properties"] |= {"field": "PFD2", "kind": "drainage"}

    _, merged, losses = edited(tmp_path, lines=edit)
    assert losses == []
    assert merged.fields[0].lines == ()
    assert [(line.kind, line.name, line.key) for line in merged.fields[1].lines] == [(LineKind.DRAINAGE, "Zaun", None)]


def test_zones(tmp_path: Path) -> None:
    def edit(features: list[Feature]) -> None:
        the(features, 91)["properties"]["setpoints"] = '[{"ddi": 1, "rate": 7, "unit": "L/ha", "part": "DET2"}]'
        zone = the(features, 92)
        zone["properties"] |= {"name": "Süd", "setpoints": "[7]"}
        zone["geometry"]["coordinates"][0][0][1][0] += 0.001

    base, merged, losses = edited(tmp_path, treatment_zones=edit)
    outside, zone = merged.tasks[0].zones
    assert outside.setpoints == (Setpoint(1, 70_000, None, "DET2"),)  # a step is 0.0001 L/ha
    assert zone.setpoints == base.tasks[0].zones[1].setpoints
    assert (zone.name, zone.code, zone.areas[0].key) == ("Süd", 1, 93)
    assert zone.areas[0].exteriors[0][:, 0].max() == LON + 0.003 + 0.001
    assert [loss.what for loss in losses] == ["setpoints '[7]' of row 2 of treatment_zones"]
    assert merged.tasks[1] is base.tasks[1]
    assert merged.tasks[0].grid is base.tasks[0].grid


def test_grid_cells(tmp_path: Path) -> None:
    def edit(features: list[Feature]) -> None:
        for feature in features:
            values = feature["properties"]
            if (values["key"], values["row"], values["column"]) == (95, 2, 3):
                values["code"] = 200
            if (values["key"], values["row"], values["column"]) == (98, 0, 1):
                values["rate_2"] = -0.07
            if (values["key"], values["row"], values["column"]) == (95, 0, 0):
                values["code"] = 256
        del features[5]
        features[1]["geometry"]["coordinates"][0][0][0] -= 1

    base, merged, losses = edited(tmp_path, grid_cells=edit)
    codes, values = (task.grid.cells for task in merged.tasks if task.grid is not None)
    expected = np.arange(12, dtype=np.uint8).reshape(3, 4)
    expected[2, 3] = 200
    assert codes is not None
    assert values is not None
    assert codes.tolist() == expected.tolist()
    assert values.tolist() == [[[1, -2], [3, 2147483647]]]
    assert (codes.dtype, values.dtype) == (np.uint8, np.int32)
    assert [loss.what for loss in losses] == [
        "1 cell whose code is empty or not a whole number in its range",
        "the removal of 1 cell of GRD00001",
        "moved cells of GRD00001",
        "rate_2 -0.07 of row 13 of grid_cells",
    ]
    assert merged.fields == base.fields


def test_what_cannot_be_taken_back_is_in_the_ledger(tmp_path: Path) -> None:
    def log(features: list[Feature]) -> None:
        features[0]["properties"]["ddi_0043_det1"] = 1

    def column(features: list[Feature]) -> None:
        for feature in features:
            feature["properties"]["soil"] = "loam"
        the(features, 10)["properties"] |= {"area_m2": 1.0, "id": "PFD77"}
        the(features, 50)["geometry"] = {"type": "Point", "coordinates": [0, 0]}

    base, merged, losses = edited(tmp_path, log_records=log, fields=column)
    assert merged is base
    assert {(loss.element, loss.what) for loss in losses} == {
        (None, "column soil of fields"),
        ("PFD1", "a change of area_m2 in fields"),
        ("PFD1", "a change of id in fields"),
        ("PFD2", "a change of geometry in fields"),
        (None, "changes in log_records"),
    }


def test_a_removed_layer_removes_nothing(tmp_path: Path) -> None:
    base = dataset()
    path, _ = put(base, "parquet", tmp_path, carried())
    (path / "lines.parquet").unlink()
    (path / "grid_cells.parquet").unlink()
    merged, losses = merge(base, read(path))
    assert merged is base
    assert [loss.what for loss in losses] == ["the removal of the layer lines", "the removal of the layer grid_cells"]


def aware(connection: sqlite3.Connection) -> None:
    """Give sqlite the functions that the triggers of a GeoPackage index use (OGC 12-128r18, annex F.3)."""

    def bound(number: int) -> Callable[[bytes], float]:
        return lambda blob: float(shapely.bounds(shapely.from_wkb(blob[{0: 8, 1: 40}[blob[3] >> 1 & 7] :]))[number])

    connection.create_function("ST_IsEmpty", 1, lambda blob: None if blob is None else blob[3] >> 4 & 1)
    for name, number in (("ST_MinX", 0), ("ST_MinY", 1), ("ST_MaxX", 2), ("ST_MaxY", 3)):
        connection.create_function(name, 1, bound(number))


def test_an_edit_by_sqlite(tmp_path: Path) -> None:
    base = dataset()
    path, _ = put(base, "gpkg", tmp_path, carried())
    with closing(sqlite3.connect(path)) as connection:
        aware(connection)
        (blob,) = connection.execute("SELECT geom FROM points WHERE key = 42").fetchone()
        moved = blob[:-16] + struct.pack("<dd", 9.25, 53.125)
        connection.execute("UPDATE points SET geom = ? WHERE key = 42", (moved,))
        connection.execute("UPDATE treatment_zones SET rate = 0.0005 WHERE key = 91")
        connection.execute("UPDATE areas SET kind = 'water', declared_area_m2 = NULL WHERE key = 12")
        connection.commit()
    merged, losses = merge(base, read(path))
    assert losses == []
    assert merged.tasks[0].zones[0].setpoints == (Setpoint(1, 5),)
    assert (merged.fields[0].areas[0].kind, merged.fields[0].areas[0].declared_area_m2) == (AreaKind.WATER, None)
    assert merged.fields[0].areas[0].exteriors is base.fields[0].areas[0].exteriors
    assert [(point.lon, point.lat) for point in merged.fields[0].points] == [(LON, LAT), (9.25, 53.125)]
    assert merged.fields[0].groups[0] is base.fields[0].groups[0]


def test_an_edit_by_pyshp(tmp_path: Path) -> None:
    base = dataset()
    path, _ = put(base, "shapefile", tmp_path, carried())
    source = shapefile.Reader(str(path / "points.shp"))
    items = list(source.iterShapeRecords())
    with shapefile.Writer(str(path / "points.shp"), encoding="utf-8") as target:
        target.fields = source.fields[1:]
        target.record(*[*items[0].record[:4], "Tür", *items[0].record[5:]])
        target.point(9.25, 53.125)
        target.record(*items[1].record)
        target.shape(items[1].shape)
    merged, losses = merge(base, read(path))
    assert losses == []
    moved, kept = merged.fields[0].points
    assert (moved.key, moved.name, moved.lon, moved.lat, moved.up_m) == (41, "Tür", 9.25, 53.125, 0.1 + 0.2)
    assert kept is base.fields[0].points[1]
