"""GeoJSON against RFC 7946 and its JSON schema."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from jsonschema import Draft202012Validator

from taskdata.errors import SourceError, UsageError
from taskdata.formats.edits.merge_edits import merge
from taskdata.formats.foreign.foreign_layers import plain
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.read import read
from tests.formats.exchange import put
from tests.formats.valley import LAT, LON, carried, dataset

SCHEMA = Path(__file__).parents[2] / "schemas" / "geojson-layers.schema.json"

# RFC 7946 section 1.5, with the members of its example.
EXAMPLE = """{
  "type": "FeatureCollection",
  "features": [
    {"type": "Feature", "geometry": {"type": "Point", "coordinates": [102.0, 0.5]},
     "properties": {"prop0": "value0"}},
    {"type": "Feature",
     "geometry": {"type": "LineString", "coordinates": [[102.0, 0.0], [103.0, 1.0], [104.0, 0.0], [105.0, 1.0]]},
     "properties": {"prop0": "value0", "prop1": 0.0}},
    {"type": "Feature",
     "geometry": {"type": "Polygon",
                  "coordinates": [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]]},
     "properties": {"prop0": "value0", "prop1": {"this": "that"}}}
  ]
}"""

# RFC 7946 appendix A.1 to A.7.
APPENDIX_A = {
    "Point": '{"type": "Point", "coordinates": [100.0, 0.0]}',
    "LineString": '{"type": "LineString", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}',
    "Polygon": '{"type": "Polygon", "coordinates": ['
    "[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],"
    "[[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]]]}",
    "MultiPoint": '{"type": "MultiPoint", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}',
    "MultiLineString": '{"type": "MultiLineString", "coordinates": ['
    "[[100.0, 0.0], [101.0, 1.0]], [[102.0, 2.0], [103.0, 3.0]]]}",
    "MultiPolygon": '{"type": "MultiPolygon", "coordinates": ['
    "[[[102.0, 2.0], [103.0, 2.0], [103.0, 3.0], [102.0, 3.0], [102.0, 2.0]]],"
    "[[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],"
    "[[100.2, 0.2], [100.2, 0.8], [100.8, 0.8], [100.8, 0.2], [100.2, 0.2]]]]}",
    "GeometryCollection": '{"type": "GeometryCollection", "geometries": ['
    '{"type": "Point", "coordinates": [100.0, 0.0]},'
    '{"type": "LineString", "coordinates": [[101.0, 0.0], [102.0, 1.0]]}]}',
}


def written(folder: Path) -> dict[str, Any]:
    path, _ = put(dataset(), "geojson", folder, carried())
    return {item.stem: json.loads(item.read_text(encoding="utf-8")) for item in path.iterdir()}


def rings(geometry: dict[str, Any]) -> list[list[list[list[float]]]]:
    return geometry["coordinates"] if geometry["type"] == "MultiPolygon" else [geometry["coordinates"]]


def test_every_layer_fits_its_schema(tmp_path: Path) -> None:
    validator = Draft202012Validator(json.loads(SCHEMA.read_text(encoding="utf-8")))
    documents = written(tmp_path)
    assert len(documents) == 10
    for document in documents.values():
        validator.validate(document)
    documents["fields"]["features"][0]["properties"]["colour"] = "blue"
    assert not validator.is_valid(documents["fields"])


def test_right_hand_rule_and_no_crs(tmp_path: Path) -> None:
    """RFC 7946 sections 3.1.6 and 4."""
    for name in ("fields", "areas", "treatment_zones", "grid_cells"):
        document = written(tmp_path / name)[name]
        assert "crs" not in document
        for feature in document["features"]:
            for outline, *holes in rings(feature["geometry"]) if feature["geometry"] else ():
                assert shapely.is_ccw(shapely.LinearRing(outline))
                assert not any(shapely.is_ccw(shapely.LinearRing(hole)) for hole in holes)


def test_polygons_and_lines_are_cut_at_the_antimeridian(tmp_path: Path) -> None:
    """RFC 7946 section 3.1.9: no geometry crosses; each half lies on its side."""
    documents = written(tmp_path)
    field = documents["fields"]["features"][2]["geometry"]
    assert len(field["coordinates"]) == 2
    for (outline,) in field["coordinates"]:  # the hole, which crosses too, is a notch in each half
        lon = np.array(outline)[:, 0]
        assert (lon > 0).all() or (lon < 0).all()
        assert (np.abs(lon[:-1]) == 180.0).sum() == 4
    line = documents["guidance_lines"]["features"][-1]["geometry"]
    assert line["type"] == "MultiLineString"
    assert [part[0][0] * part[1][0] > 0 for part in line["coordinates"]] == [True, True]


def test_digits_are_the_shortest_that_are_exact(tmp_path: Path) -> None:
    path, _ = put(dataset(), "geojson", tmp_path, None)
    text = (path / "points.geojson").read_text(encoding="utf-8")
    assert f'"coordinates":[{LON!r},{LAT!r}]' in text
    assert '"up_m":0.30000000000000004' in text


def test_the_example_of_section_1_5(tmp_path: Path) -> None:
    file = tmp_path / "example.geojson"
    file.write_text(EXAMPLE)
    data = plain(read(file))
    assert [field.name for field in data.fields] == ["value0", "example"]
    assert shapely.Polygon(data.fields[0].boundaries[0].exteriors[0]).equals(shapely.box(100, 0, 101, 1))
    assert data.fields[1].points[0].lon == 102.0
    (line,) = [*data.guidance, *data.lines]
    assert line.points.tolist() == [[102.0, 0.0], [103.0, 1.0], [104.0, 0.0], [105.0, 1.0]]


@pytest.mark.parametrize("kind", APPENDIX_A)
def test_the_geometries_of_appendix_a(kind: str, tmp_path: Path) -> None:
    file = tmp_path / "geometry.json"
    file.write_text(APPENDIX_A[kind])
    source = read(file)
    geometry = shapely.from_wkb(source.tables["geometry"].table["geometry"].to_pylist()[0])
    assert geometry.equals(shapely.from_geojson(APPENDIX_A[kind]))
    data = plain(source)
    found = (len(data.fields), len(data.guidance) + len(data.lines), len(data.points))
    expected = {"Point": (1, 0, 1), "LineString": (1, 1, 0), "Polygon": (1, 0, 0), "MultiPoint": (1, 0, 2)}
    expected |= {"MultiLineString": (1, 2, 0), "MultiPolygon": (1, 0, 0), "GeometryCollection": (1, 1, 1)}
    assert found == expected[kind]


def test_the_line_and_polygon_of_section_3_1_9_are_joined(tmp_path: Path) -> None:
    """RFC 7946 section 3.1.9: a line from 45 N 170 E to 45 N 170 W, and a box over the same longitudes, both cut."""
    cut = """{"type": "GeometryCollection", "geometries": [
      {"type": "MultiLineString", "coordinates": [[[170.0, 45.0], [180.0, 45.0]], [[-180.0, 45.0], [-170.0, 45.0]]]},
      {"type": "MultiPolygon", "coordinates": [
        [[[180.0, 40.0], [180.0, 50.0], [170.0, 50.0], [170.0, 40.0], [180.0, 40.0]]],
        [[[-170.0, 40.0], [-170.0, 50.0], [-180.0, 50.0], [-180.0, 40.0], [-170.0, 40.0]]]]}]}"""
    file = tmp_path / "cut.geojson"
    file.write_text(cut)
    data = plain(read(file))
    (line,) = [*data.guidance, *data.lines]
    assert line.points.tolist() == [[170.0, 45.0], [-170.0, 45.0]]
    (boundary,) = data.fields[0].boundaries
    assert sorted(set(boundary.exteriors[0][:, 0])) == [-170.0, 170.0]


def test_bbox_and_foreign_members_are_read_over(tmp_path: Path) -> None:
    """RFC 7946 sections 5 and 6.1."""
    document = json.loads(EXAMPLE) | {"bbox": [100.0, 0.0, 105.0, 1.0], "title": "Example"}
    document["features"][0]["bbox"] = [102.0, 0.5, 102.0, 0.5]
    file = tmp_path / "example.geojson"
    file.write_text(json.dumps(document))
    assert len(read(file).tables["example"].table) == 3


def test_what_cannot_be_used_is_a_finding_and_the_rest_is_read(tmp_path: Path) -> None:
    ring = [[0, 0], [1, 0], [1, 1], [0, 0]]
    geometries = [
        {"type": "Polygon", "coordinates": [ring]},
        None,
        {"type": "Polygon", "coordinates": []},
        {"type": "Polygon", "coordinates": [[[0, 0], [1, 1]]]},
        {"type": "Polygon", "coordinates": [[["a", 0], [1, 1]]]},
        {"type": "Circle", "coordinates": [0, 0]},
        {"type": "Point", "coordinates": [0.5, 0.25, 99.0]},
        {"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1, 95], [0, 0]]]},
    ]
    features = [{"type": "Feature", "properties": {}, "geometry": item} for item in geometries[:-1]]
    file = tmp_path / "mixed.geojson"
    file.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    data = plain(read(file))
    assert [field.name for field in data.fields] == ["mixed 1"]
    assert [point.up_m for point in data.points] == [99.0]  # RFC 7946 section 3.1.1: metres above the ellipsoid
    told = [(finding.rule.id, finding.facts.get("row")) for finding in data.findings if "row" in finding.facts]
    assert sorted(told, key=str) == [
        ("import.bad-geometry", 4),
        ("import.bad-geometry", 5),
        ("import.bad-geometry", 6),
        ("import.no-geometry", 2),
        ("import.no-geometry", 3),
    ]


def test_metres_without_a_system_are_refused(tmp_path: Path) -> None:
    file = tmp_path / "metres.geojson"
    file.write_text('{"type": "Point", "coordinates": [500000.0, 5800000.0]}')
    with pytest.raises(UsageError, match='crs="EPSG:'):
        read(file)
    point = plain(read(file, options=TakeOptions(crs="EPSG:32632"))).points[0]
    assert point.lon == pytest.approx(9.0, abs=1e-12)  # the central meridian of zone 32 (definition of UTM)


def test_a_crs_of_before_the_rfc_is_obeyed_and_told(tmp_path: Path) -> None:
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::32632"}}
    file = tmp_path / "old.geojson"
    file.write_text(json.dumps({"type": "Point", "coordinates": [500000.0, 5800000.0], "crs": crs}))
    source = read(file)
    assert [finding.rule.id for finding in source.findings] == ["import.crs-member"]
    assert [datum.target for datum in source.datum] == ["EPSG:4326"]


@pytest.mark.parametrize("text", ["", "{", "[]", '{"type": "Topology"}', '{"type": "FeatureCollection"}', "\xff"])
def test_what_is_no_geojson_is_one_line(text: str, tmp_path: Path) -> None:
    file = tmp_path / "bad.geojson"
    file.write_bytes(text.encode("latin-1"))
    with pytest.raises(SourceError, match=r"bad\.geojson") as caught:
        read(file, "geojson")
    assert "\n" not in str(caught.value)


def test_one_damaged_file_of_a_folder_is_a_finding(tmp_path: Path) -> None:
    (tmp_path / "good.geojson").write_text(EXAMPLE)
    (tmp_path / "bad.geojson").write_text("{")
    source = read(tmp_path)
    assert list(source.tables) == ["good"]
    assert [(item.rule.id, item.place.file) for item in source.findings] == [("import.unreadable-layer", "bad.geojson")]


def test_a_file_formatted_anew_by_another_program_is_no_change(tmp_path: Path) -> None:
    base = dataset()
    path, _ = put(base, "geojson", tmp_path, carried())
    for file in path.iterdir():
        document = json.loads(file.read_text(encoding="utf-8"))
        document["features"].reverse()
        for feature in document["features"]:
            for polygon in rings(feature["geometry"]) if "Polygon" in str(feature["geometry"]) else ():
                for ring in polygon:
                    ring[:] = [*ring[2:], *ring[1:3]]
        file.write_text(json.dumps(document, indent=2), encoding="utf-8")
    assert merge(base, read(path)) == (base, [])
