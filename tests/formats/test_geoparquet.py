"""GeoParquet against the specification 1.1.0 (OGC GeoParquet), read by pyarrow and json."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
import shapely
from pyproj import CRS

from taskdata.errors import SourceError, UsageError
from taskdata.formats.foreign.foreign_layers import plain
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.geometries.nested import DEPTHS
from taskdata.formats.read import read
from taskdata.reports.words import message
from tests.formats.exchange import put
from tests.formats.raw_layers import HOLE, SQUARE, geoparquet, native
from tests.formats.valley import carried, dataset


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return put(dataset(), "parquet", tmp_path_factory.mktemp("parquet"), carried())[0]


def meta(path: Path) -> dict[str, Any]:
    return dict(json.loads(pq.read_schema(path).metadata[b"geo"]))


def save(path: Path, geometry: Any, column: dict[str, Any]) -> None:
    table = pa.table({"geom": pa.array([shapely.to_wkb(geometry)]), "name": pa.array(["Mitte"])})
    geo = {"version": "1.1.0", "primary_column": "geom", "columns": {"geom": {"encoding": "WKB"} | column}}
    pq.write_table(table.replace_schema_metadata({"geo": json.dumps(geo)}), path)


def test_metadata(folder: Path) -> None:
    """Sections "File metadata" and "Column metadata"."""
    geo = meta(folder / "fields.parquet")
    assert (geo["version"], geo["primary_column"]) == ("1.1.0", "geometry")
    column = geo["columns"]["geometry"]
    assert column["encoding"] == "WKB"
    assert column["geometry_types"] == ["MultiPolygon"]
    assert column["orientation"] == "counterclockwise"
    assert column["crs"]["id"] == {"authority": "OGC", "code": "CRS84"}
    assert meta(folder / "guidance_lines.parquet")["columns"]["geometry"]["geometry_types"] == [
        "LineString",
        "MultiLineString",
    ]


def test_the_box_holds_all_and_no_more(folder: Path) -> None:
    table = pq.read_table(folder / "fields.parquet")
    shapes = shapely.from_wkb(table["geometry"].to_pylist())
    assert meta(folder / "fields.parquet")["columns"]["geometry"]["bbox"] == shapely.total_bounds(shapes).tolist()


def test_side_tables_are_plain(folder: Path) -> None:
    assert b"geo" not in (pq.read_schema(folder / "carried_files.parquet").metadata or {})


def test_a_missing_system_is_wgs84_and_null_is_unknown(tmp_path: Path) -> None:
    """Section "crs": without the key OGC:CRS84, with null not known."""
    save(tmp_path / "a.parquet", shapely.Point(9, 52), {})
    assert read(tmp_path).findings == []
    save(tmp_path / "a.parquet", shapely.Point(9, 52), {"crs": None})
    assert [finding.rule.id for finding in read(tmp_path).findings] == ["import.crs-assumed"]
    save(tmp_path / "a.parquet", shapely.Point(5e5, 5.8e6), {"crs": None})
    with pytest.raises(UsageError, match='crs="EPSG:'):
        read(tmp_path)
    point = plain(read(tmp_path, options=TakeOptions(crs="EPSG:32632"))).points[0]
    assert (point.name, point.lon) == ("Mitte", pytest.approx(9.0, abs=1e-12))


@pytest.mark.parametrize("encoding", ["WKT", "point", 7])
def test_another_encoding_is_refused(encoding: object, tmp_path: Path) -> None:
    save(tmp_path / "a.parquet", shapely.Point(9, 52), {"encoding": encoding})
    with pytest.raises(SourceError, match=r"a\.parquet: The (geometry is stored as|description of)") as caught:
        read(tmp_path)
    assert "\n" not in str(caught.value)


def test_the_footer_counts_whatever_the_schema_repeats(tmp_path: Path) -> None:
    """Section "File metadata": the key stands in the metadata of the Parquet file; a writer may add it at the end."""
    shape = shapely.Point(500_000.0, 5_800_000.0)
    table = pa.table({"plot_shape": pa.array([shapely.to_wkb(shape)]), "name": ["Mitte"]})
    column = {"encoding": "WKB", "geometry_types": [], "crs": CRS.from_epsg(25832).to_json_dict()}
    geo = {"version": "1.1.0", "primary_column": "plot_shape", "columns": {"plot_shape": column}}
    path = tmp_path / "a.parquet"
    table = table.replace_schema_metadata({"other": "kept"})
    with pq.ParquetWriter(path, table.schema) as writer:
        writer.write_table(table)
        writer.add_key_value_metadata({"geo": json.dumps(geo)})
    assert b"geo" not in pq.read_table(path).schema.metadata
    source = read(path)
    assert source.findings == []
    point = plain(source).points[0]
    assert (point.name, point.lon) == ("Mitte", pytest.approx(9.0, abs=1e-12))  # the central meridian of zone 32


@pytest.mark.parametrize("form", ["WKT2_2019", "WKT1_ESRI"])
def test_systems_of_old_files_are_well_known_text(form: str, tmp_path: Path) -> None:
    """Version 0.1.0 to 0.3.0: "crs" is a string in WKT; "schema_version" and "geometry_type" stood for later names."""
    text = CRS.from_epsg(32632).to_wkt(form)
    table = pa.table({"geom": pa.array([shapely.to_wkb(shapely.Point(5e5, 5.8e6))]), "name": ["Mitte"]})
    column = {"encoding": "WKB", "crs": text, "geometry_type": "Point", "bbox": [5e5, 5.8e6, 5e5, 5.8e6]}
    geo = {"schema_version": "0.1.0", "primary_column": "geom", "columns": {"geom": column}}
    path = tmp_path / "a.parquet"
    pq.write_table(table.replace_schema_metadata({"geo": json.dumps(geo)}), path)
    assert plain(read(path)).points[0].lon == pytest.approx(9.0, abs=1e-12)


AWAY = [[lon + 0.1, lat] for lon, lat in SQUARE]
SQUARES = [[SQUARE, HOLE], [SQUARE]]
NATIVE = {
    "point": ([[10.0, 54.0], [10.5, 54.5]], "POINT"),
    "linestring": ([SQUARE[:2], SQUARE[1:]], "LINESTRING"),
    "polygon": (SQUARES, "POLYGON"),
    "multipoint": ([SQUARE[:2], SQUARE[:1]], "MULTIPOINT"),
    "multilinestring": ([[SQUARE[:2], SQUARE[1:3]], [SQUARE]], "MULTILINESTRING"),
    "multipolygon": ([[[SQUARE, HOLE], [AWAY]], [[SQUARE]]], "MULTIPOLYGON"),
}


@pytest.mark.parametrize("encoding", NATIVE)
def test_native_encodings(encoding: str, tmp_path: Path) -> None:
    """Section "Native encodings (based on GeoArrow)"; the shapes are those of shapely's own GeoJSON reader."""
    rows, kind = NATIVE[encoding]
    path = geoparquet(tmp_path / "a.parquet", native(encoding, rows[0], None, rows[1]), encoding=encoding)
    source = read(path)
    found = shapely.from_wkb(source.tables["a"].table["geometry"].to_pylist())
    name = next(item for item in DEPTHS if item.upper() == kind)
    wanted = [shapely.from_geojson(json.dumps({"type": name, "coordinates": row})) for row in rows]
    assert [found[1], *found[[0, 2]].tolist()] == [None, *wanted]
    assert source.findings == []
    data = plain(source)
    assert message(data.findings[0]) == "Row 2 of a.parquet has no geometry and is left out."
    assert not [finding for finding in data.findings[1:] if "left-out" in finding.rule.id]


def test_native_columns_of_packed_positions_and_slices(tmp_path: Path) -> None:
    """GeoArrow also packs positions side by side; a table written in row groups comes back in several chunks."""
    line = pa.list_(pa.list_(pa.float64(), 2))
    rows = [SQUARE[:2], SQUARE[1:3], SQUARE[:3]]
    path = geoparquet(
        tmp_path / "a.parquet", pa.chunked_array([pa.array([row], line) for row in rows]), encoding="linestring"
    )
    assert [item.points.tolist() for item in plain(read(path)).guidance] == rows


def test_faults_in_native_columns_cost_their_part_alone(tmp_path: Path) -> None:
    rows = native("multipolygon", [[SQUARE], []], [[SQUARE[:-1]]], [[SQUARE]])
    data = plain(read(geoparquet(tmp_path / "a.parquet", rows, encoding="multipolygon")))
    assert [field.name for field in data.fields] == ["n1", "n2", "n3"]
    assert [message(finding) for finding in data.findings] == [
        "A part of row 1 of a.parquet is left out: of part 2 the list of positions is empty.",
        "1 ring of row 2 of a.parquet did not end at the first point; closed with a straight line.",
    ]


def test_heights_of_native_points_are_kept(tmp_path: Path) -> None:
    data = plain(read(geoparquet(tmp_path / "a.parquet", native("point", [10.0, 54.0, 12.5]), encoding="point")))
    assert data.points[0].up_m == 12.5
    assert [message(finding) for finding in data.findings] == [
        "The heights of points of a.parquet are kept as metres above the ellipsoid of WGS 84,"
        " though it does not say what they refer to."
    ]


def test_further_columns_of_shapes_and_taken_names_are_told(tmp_path: Path) -> None:
    wkb = pa.array([shapely.to_wkb(shapely.Point(9, 52))])
    box = pa.array([{"xmin": 9.0, "ymin": 52.0, "xmax": 9.0, "ymax": 52.0}])
    table = pa.table({"shape": wkb, "centre": wkb, "geometry": ["rund"], "bbox": box, "name": ["Mitte"]})
    columns = {"shape": {"encoding": "WKB"}, "centre": {"encoding": "WKB", "crs": None}}
    geo = {"version": "1.0.0", "primary_column": "shape", "columns": columns}
    pq.write_table(table.replace_schema_metadata({"geo": json.dumps(geo)}), tmp_path / "a.parquet")
    data = plain(read(tmp_path))
    assert [point.name for point in data.points] == ["Mitte"]
    assert [message(finding) for finding in data.findings] == [
        "The column centre of a.parquet is left out: a row can have only one geometry, and that is in shape.",
        "The column geometry of a.parquet is left out: that name holds the geometry of the row, from shape.",
    ]


@pytest.mark.parametrize(("crs", "lon"), [("", 9.0), ("EPSG:32632", 9.0), ("srid:32632", 9.0)])
def test_the_type_of_parquet_itself(crs: str, lon: float, tmp_path: Path) -> None:
    """Apache Parquet format, logical type GEOMETRY: its system is a text, OGC:CRS84 where there is none."""
    place = shapely.Point(5e5, 5.8e6) if crs else shapely.Point(9.0, 52.0)

    class Shapes(pa.ExtensionType):
        def __init__(self) -> None:
            super().__init__(pa.binary(), "geoarrow.wkb")

        def __arrow_ext_serialize__(self) -> bytes:
            return json.dumps({"crs": crs} if crs else {}).encode()

        @classmethod
        def __arrow_ext_deserialize__(cls, storage: pa.DataType, serialized: bytes) -> Shapes:
            return cls()

    array = pa.ExtensionArray.from_storage(Shapes(), pa.array([shapely.to_wkb(place)]))
    pq.write_table(pa.table({"shape": array}), tmp_path / "a.parquet", store_schema=False)
    source = read(tmp_path)
    assert source.findings == []
    assert plain(source).points[0].lon == pytest.approx(lon, abs=1e-12)


def test_bytes_that_are_shapes_need_no_description(tmp_path: Path) -> None:
    table = pa.table({"name": ["Mitte"], "wkb": pa.array([shapely.to_wkb(shapely.Point(9, 52))])})
    pq.write_table(table, tmp_path / "a.parquet")
    data = plain(read(tmp_path))
    assert [point.name for point in data.points] == ["Mitte"]
    assert [finding.rule.id for finding in data.findings] == ["import.crs-assumed"]


def test_layers_with_and_without_a_system_lie_in_one_place(tmp_path: Path) -> None:
    east, north = 500_000.0, 5_800_000.0
    square = shapely.box(east, north, east + 200.0, north + 200.0)
    save(tmp_path / "stated.parquet", square, {"crs": CRS.from_epsg(25832).to_json_dict()})
    save(tmp_path / "unstated.parquet", square, {"crs": None})
    save(tmp_path / "default.parquet", shapely.Point(9.001, 52.34), {})
    with pytest.raises(UsageError, match=r'unstated\.parquet is unknown .*crs="EPSG:'):
        read(tmp_path)
    source = read(tmp_path, options=TakeOptions(crs="EPSG:32632"))
    assert sorted(source.moved) == ["stated", "unstated"]
    told = [message(finding) for finding in source.findings]
    assert told == [
        f"EPSG:32632 was not applied to {name}.parquet: it states its own." for name in ("default", "stated")
    ]
    bounds = [shapely.from_wkb(source.tables[name].table["geometry"][0].as_py()).bounds for name in source.moved]
    assert bounds[0] == pytest.approx(bounds[1], abs=1e-8)  # the ellipsoids differ by 0.1 mm
    left = read(tmp_path, partial=True)
    assert sorted(left.tables) == ["default", "stated"]
    assert [finding.rule.id for finding in left.findings] == ["import.crs-unknown"]


@pytest.mark.parametrize(
    "geo",
    [
        "[]",
        "{",
        "null",
        '{"primary_column": "geom"}',
        '{"primary_column": "geom", "columns": {"geom": null}}',
        '{"primary_column": "geom", "columns": {"geom": {}}}',
        '{"primary_column": "geom", "columns": []}',
        '{"primary_column": "other", "columns": {"other": {"encoding": "WKB"}}}',
        '{"primary_column": ["geom"], "columns": {"geom": {"encoding": "WKB"}}}',
        '{"primary_column": "geom", "columns": {"geom": {"encoding": "WKB", "crs": 7}}}',
        '{"primary_column": "geom", "columns": {"geom": {"encoding": "WKB", "crs": {"type": "x"}}}}',
    ],
)
def test_a_damaged_description_is_one_line(geo: str, tmp_path: Path) -> None:
    table = pa.table({"geom": pa.array([shapely.to_wkb(shapely.Point(9, 52))])})
    pq.write_table(table.replace_schema_metadata({"geo": geo}), tmp_path / "a.parquet")
    with pytest.raises(SourceError, match=r"a\.parquet") as caught:
        read(tmp_path)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("content", [b"", b"PAR1", b"PAR1" + b"x" * 100 + b"PAR1"])
def test_a_damaged_file_is_one_line(content: bytes, tmp_path: Path) -> None:
    file = tmp_path / "bad.parquet"
    file.write_bytes(content)
    with pytest.raises(SourceError, match=r"bad\.parquet") as caught:
        read(file)
    assert "\n" not in str(caught.value)
