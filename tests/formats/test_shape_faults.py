"""Faults of shapes are told with their row wherever a part is dropped or changed, the same in every format.

What is a ring, a line and a polygon is that of OGC 06-103r4 section 6.1 and of RFC 7946 section 3.1.
"""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
import shapely

from taskdata.exchange.load import load
from taskdata.formats.edits.merge_edits import merge
from taskdata.formats.foreign.foreign_layers import plain
from taskdata.formats.read import read
from taskdata.model.dataset import Dataset
from taskdata.reports.words import message
from tests.formats.exchange import FORMATS, put
from tests.formats.raw_layers import FLAT, HOLE, ONE, SQUARE, TWO, geojson, layer
from tests.formats.valley import carried, dataset

SOUND = [SQUARE]


def told(data: Dataset) -> list[str]:
    return [message(finding) for finding in data.findings]


def names(data: Dataset) -> list[str]:
    return [field.name for field in data.fields]


def rings(data: Dataset) -> list[tuple[int, int]]:
    areas = [area for field in data.fields for area in field.boundaries]
    return [(len(area.exteriors), len(area.interiors)) for area in areas]


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize(
    ("hole", "reason"),
    [
        (FLAT, "a hole encloses no area"),
        (TWO, "a hole has fewer than three different points"),
        (ONE, "a hole has fewer than three different points"),
    ],
    ids=["flat", "two", "one"],
)
def test_a_hole_without_ground_is_left_out(form: str, hole: Any, reason: str, tmp_path: Path) -> None:
    file = layer(form, tmp_path, "Polygon", [SQUARE, HOLE], [SQUARE, hole, HOLE])
    data = plain(read(file))
    assert rings(data) == [(1, 1), (1, 1)]
    if form == "shapefile" and hole is FLAT:  # it runs in neither direction, so that GDAL takes it for an outline
        reason = "its outline encloses no area"
    assert told(data) == [f"A part of row 2 of {file.name} is left out: {reason}."]
    assert data.findings[0].place.location == (10.002, 54.002)


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize(
    ("ring", "reason"),
    [
        (FLAT, "its outline encloses no area"),
        (TWO, "its outline has fewer than three different points"),
        (ONE, "its outline has fewer than three different points"),
    ],
    ids=["flat", "two", "one"],
)
def test_an_outline_without_ground_is_no_field(form: str, ring: Any, reason: str, tmp_path: Path) -> None:
    file = layer(form, tmp_path, "Polygon", [ring], SOUND)
    data = plain(read(file))
    assert names(data) == ["n2"]
    assert told(data) == [f"The geometry of row 1 of {file.name} cannot be used: {reason}. It is left out."]


@pytest.mark.parametrize("form", FORMATS)
def test_an_open_ring_is_closed(form: str, tmp_path: Path) -> None:
    file = layer(form, tmp_path, "Polygon", [SQUARE[:-1], HOLE[:-1]], SOUND)
    data = plain(read(file))
    assert rings(data) == [(1, 1), (1, 0)]
    outline = data.fields[0].boundaries[0].exteriors[0].tolist()
    assert outline[0] == outline[-1]
    assert sorted(outline[:-1]) == sorted(SQUARE[:-1])
    assert told(data) == [
        f"2 rings of row 1 of {file.name} did not end at the first point; closed with a straight line."
    ]


@pytest.mark.parametrize("form", FORMATS)
def test_a_part_of_one_place_is_left_out_of_a_line(form: str, tmp_path: Path) -> None:
    file = layer(form, tmp_path, "MultiLineString", [SQUARE[:2], ONE])
    data = plain(read(file))
    assert [line.points.tolist() for line in data.guidance] == [SQUARE[:2]]
    assert told(data)[:1] == [f"A part of row 1 of {file.name} is left out: all points of the line are one place."]


@pytest.mark.parametrize("form", ["geojson", "gpkg", "parquet"])
@pytest.mark.parametrize(
    ("kind", "row", "reason"),
    [
        ("MultiPolygon", [[SQUARE], []], "it is empty"),
        ("MultiPolygon", [[SQUARE], [[]]], "it is empty"),
        ("Polygon", [SQUARE, []], "a hole is empty"),
        ("MultiLineString", [SQUARE[:2], []], "it is empty"),
    ],
    ids=["part", "outline", "hole", "line"],
)
def test_empty_parts_are_told(form: str, kind: str, row: Any, reason: str, tmp_path: Path) -> None:
    """Empty members end the interpreter where GEOS is given them unchecked."""
    file = layer(form, tmp_path, kind, row)
    data = plain(read(file))
    assert len(data.fields) == 1
    (text,) = [text for text in told(data) if "is left out" in text]
    assert text.startswith(f"A part of row 1 of {file.name} is left out: ")
    if form != "geojson":
        assert reason in text


@pytest.mark.parametrize("form", ["shapefile", "gpkg", "parquet"])
@pytest.mark.parametrize(
    ("value", "reason"), [(math.nan, "a coordinate is not a number"), (95.0, "a latitude is beyond")]
)
def test_a_hole_off_the_earth_takes_its_polygon_along(form: str, value: float, reason: str, tmp_path: Path) -> None:
    """Without the hole the field would say that there is ground to work."""
    bad = [HOLE[0], [10.002, value], *HOLE[2:]]
    file = layer(form, tmp_path, "Polygon", [SQUARE, bad], SOUND)
    data = plain(read(file))
    assert names(data) == ["n2"]
    assert [text.partition(": ")[2].startswith(reason) for text in told(data)] == [True]


@pytest.mark.parametrize("form", FORMATS)
def test_one_stray_position_does_not_ask_for_a_system(form: str, tmp_path: Path) -> None:
    stray = [[[10.0, 54.0], [10.01, 54.0], [10.01, 540.1], [10.0, 54.0]]]
    file = layer(form, tmp_path, "Polygon", *[SOUND] * 10, stray)
    data = plain(read(file))
    assert len(data.fields) == 10
    assert told(data) == [
        f"The geometry of row 11 of {file.name} cannot be used: a latitude is beyond the pole. It is left out."
    ]


@pytest.mark.parametrize("form", FORMATS)
def test_longitudes_beyond_180_are_turned(form: str, tmp_path: Path) -> None:
    """RFC 7946 section 3.1.9: such a field is cut at the antimeridian; here it crosses it in one ring."""
    square = [[179.99, 54.0], [180.01, 54.0], [180.01, 54.01], [179.99, 54.01], [179.99, 54.0]]
    file = layer(form, tmp_path, "Polygon", [square])
    data = plain(read(file))
    assert told(data) == [
        f"Row 1 of {file.name} has longitudes beyond 180 degrees, such as 180.01; they were moved by 360 degrees."
    ]
    (area,) = data.fields[0].boundaries
    lon = sorted({round(float(value), 9) for value in area.exteriors[0][:, 0]})
    assert lon == [-179.99, 179.99]


@pytest.mark.parametrize(
    ("geometry", "expected"),
    [
        ({"type": "Polygon", "coordinates": [[[str(x), str(y)] for x, y in SQUARE]]}, "are texts"),
        ({"type": "Polygon", "coordinates": [[["10,0", "54"], *SQUARE[1:]]]}, "not a list of two or three numbers"),
        ({"type": "Polygon", "coordinates": [[[None, 54.0], *SQUARE[1:]]]}, "not a list of two or three numbers"),
        ({"type": "Point", "coordinates": [True, False]}, "not a list of two or three numbers"),
        ({"type": "Point", "coordinates": [10**400, 54]}, "too large for a position"),
        ({"type": "polygon", "coordinates": [SQUARE]}, "the type 'polygon' is unknown"),
        ({"type": ["Polygon"], "coordinates": [SQUARE]}, "the type ['Polygon'] is unknown"),
        ({"coordinates": [SQUARE]}, "its type is missing"),
        ({"type": "Polygon"}, "it has no coordinates"),
        ({"type": "Polygon", "coordinates": [[7]]}, "not a list of two or three numbers"),
        ({"type": "Polygon", "coordinates": "none"}, "not nested as its type asks"),
        ({"type": "GeometryCollection", "geometries": None}, "it has no list of geometries"),
        ("Polygon", "it is not an object with a type"),
        ({"type": "MultiPoint", "coordinates": [[]]}, "of part 1 the list of positions is empty"),
    ],
    ids=str,
)
def test_what_makes_no_geometry_is_told_with_its_row(geometry: Any, expected: str, tmp_path: Path) -> None:
    sound = {"type": "Polygon", "coordinates": SOUND}
    data = plain(read(geojson(tmp_path / "plots.geojson", sound, geometry, sound)))
    (text,) = told(data)
    assert "ow 2 of plots.geojson" in text
    assert expected in text
    assert names(data) == (["n1", "n2", "n3"] if "are texts" in expected else ["n1", "n3"])


def test_positions_of_mixed_dimension_keep_the_field(tmp_path: Path) -> None:
    mixed = [[*point, 3.5] if number % 2 else point for number, point in enumerate(SQUARE)]
    data = plain(read(geojson(tmp_path / "plots.geojson", {"type": "Polygon", "coordinates": [mixed]})))
    assert data.fields[0].boundaries[0].exteriors[0].tolist() == SQUARE
    assert told(data) == ["Heights of plots.geojson are left out: lines and fields have none."]


def test_heights_of_points_are_kept(tmp_path: Path) -> None:
    """RFC 7946 section 3.1.1: metres above the reference ellipsoid of WGS 84, as PointUp is in ISO 11783-10."""
    high, low = {"type": "Point", "coordinates": [10.0, 54.0, 33.5]}, {"type": "Point", "coordinates": [10.0, 54.0]}
    both = {"type": "MultiPoint", "coordinates": [[10.0, 54.0, -1.25], [10.0, 54.0]]}
    loaded = load(geojson(tmp_path / "marks.geojson", high, low, both))
    assert [point.up_m for point in loaded.dataset.points] == [33.5, None, -1.25, None]
    assert told(loaded.dataset) == []
    assert loaded.losses == ()


def test_members_that_are_no_features_keep_the_numbers_of_rows(tmp_path: Path) -> None:
    sound = {"type": "Feature", "properties": {"name": "gut"}, "geometry": {"type": "Polygon", "coordinates": SOUND}}
    flat = {"type": "Feature", "properties": {"name": "flach"}, "geometry": {"type": "Polygon", "coordinates": [FLAT]}}
    features = [None, 7, sound["geometry"], {"type": "FeatureCollection", "features": [sound]}, flat, sound]
    (tmp_path / "plots.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    loaded = load(tmp_path)
    assert names(loaded.dataset) == ["gut"]
    assert told(loaded.dataset) == [
        "Row 1 of plots.geojson is left out: it is nothing (null), not a Feature.",
        "Row 2 of plots.geojson is left out: it is the value 7, not a Feature.",
        "Row 3 of plots.geojson is left out: it is a Polygon, not a Feature.",
        "Row 4 of plots.geojson is left out: it is a FeatureCollection, not a Feature.",
        "The geometry of row 5 of plots.geojson cannot be used: its outline encloses no area. It is left out.",
    ]
    assert len(loaded.losses) == 5


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ('{"type": "FeatureCollection", "features": [%s, {"type": "Feature", "properties": {"name": "a", "name": "b"},'
         ' "geometry": %s}]}',
         'Row 2 of plots.geojson has the member "name" more than once; only the last one was read.'),
        ('{"type": "FeatureCollection", "features": [%s], "title": %s, "features": []}',
         'The collection of plots.geojson has the member "features" more than once; only the last one was read.'),
    ],
    ids=["property", "features"],
)  # fmt: skip
def test_a_member_that_stands_twice_is_told(text: str, expected: str, tmp_path: Path) -> None:
    """RFC 8259 section 4: names should be unique, else what a reader takes is unpredictable."""
    geometry = json.dumps({"type": "Polygon", "coordinates": SOUND})
    feature = f'{{"type": "Feature", "properties": {{}}, "geometry": {geometry}}}'
    (tmp_path / "plots.geojson").write_text(text % (feature, geometry))
    loaded = load(tmp_path)
    assert told(loaded.dataset)[:1] == [expected]
    assert len(loaded.losses) == 1


def test_a_property_named_geometry_is_told(tmp_path: Path) -> None:
    path = geojson(tmp_path / "plots.geojson", {"type": "Polygon", "coordinates": SOUND})
    path.write_text(path.read_text().replace('"name": "n1"', '"geometry": "rund"'))
    assert told(plain(read(path))) == [
        '"geometry" of row 1 of plots.geojson is left out: a property of that name would replace the geometry.'
    ]


@pytest.mark.parametrize("form", ["geojson", "gpkg", "parquet"])
def test_edited_rows_are_judged_like_any_other(form: str, tmp_path: Path) -> None:
    """A row that was drawn anew in a GIS: what has no shape is named, and the rest is taken over."""
    base = dataset()
    path, _ = put(base, form, tmp_path, carried())
    source = read(path)
    table = source.tables["fields"].table
    shapes = shapely.from_wkb(np.array(table["geometry"].to_pylist(), dtype=object))
    first = shapely.Polygon(SQUARE, [HOLE, FLAT])
    second = shapely.Polygon(FLAT)
    drawn = shapely.to_wkb([first, second, *shapes[2:]])
    index = table.column_names.index("geometry")
    changed = table.set_column(index, "geometry", pa.array(drawn, pa.large_binary()))
    raw = replace(source.tables["fields"], table=changed)
    merged, losses = merge(base, replace(source, tables=source.tables | {"fields": raw}))
    assert len(merged.fields[0].boundaries[0].interiors) == 1
    assert merged.fields[1].boundaries == base.fields[1].boundaries
    assert [(loss.what, loss.why) for loss in losses] == [
        ("a change of geometry in fields", "of a part of it a hole encloses no area"),
        ("a change of geometry in fields", "its outline encloses no area"),
    ]


def test_new_rows_keep_their_height(tmp_path: Path) -> None:
    base = dataset()
    path, _ = put(base, "geojson", tmp_path, carried())
    file = path / "points.geojson"
    document = json.loads(file.read_text(encoding="utf-8"))
    point = {"type": "Point", "coordinates": [180.25, 54.0, 41.5]}
    document["features"].append({"type": "Feature", "properties": {"name": "neu", "field": "PFD1"}, "geometry": point})
    file.write_text(json.dumps(document), encoding="utf-8")
    merged, losses = merge(base, read(path))
    (new,) = (item for item in merged.points if item.name == "neu")
    assert (new.lon, new.up_m) == (-179.75, 41.5)
    assert [(str(loss.kind), loss.what) for loss in losses] == [("changed", "longitudes of the new row 3 of points")]
