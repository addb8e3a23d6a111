"""Shapefiles against the ESRI Shapefile Technical Description (July 1998), read by pyshp as the independent reader."""

from __future__ import annotations

import json
import shutil
import struct
from pathlib import Path

import numpy as np
import pyarrow as pa
import pytest
import shapefile
import shapely
from jsonschema import Draft202012Validator

from taskdata.errors import SourceError, TargetError, UsageError
from taskdata.formats import columns
from taskdata.formats.drivers import shapefile as driver
from taskdata.formats.drivers import sidecar
from taskdata.formats.foreign.foreign_layers import plain
from taskdata.formats.layers.of_dataset import SPECS
from taskdata.formats.read import read
from taskdata.ledger import LossKind
from tests.formats.exchange import put
from tests.formats.valley import LAT, LON, LONG, carried, dataset

SCHEMA = Path(__file__).parents[2] / "schemas" / "shapefile-sidecar.schema.json"
KINDS = {"fields": 5, "areas": 5, "lines": 3, "guidance_lines": 3, "points": 1, "log_records": 1}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return put(dataset(), "shapefile", tmp_path_factory.mktemp("shp"), carried())[0]


def area(ring: list[tuple[float, float]]) -> float:
    x, y = np.array(ring).T
    return float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum() / 2)


@pytest.mark.parametrize("name", KINDS)
def test_headers(name: str, folder: Path) -> None:
    """Page 4: file code 9994, big-endian; length in 16-bit words; version 1000 and shape type, little-endian."""
    data = (folder / f"{name}.shp").read_bytes()
    code, length = struct.unpack(">i20xi", data[:28])
    version, kind = struct.unpack("<ii", data[28:36])
    assert (code, length * 2, version, kind) == (9994, len(data), 1000, KINDS[name])
    number, words = struct.unpack(">ii", data[100:108])
    assert number == 1
    assert 100 + 8 + 2 * words <= len(data)


def test_outer_rings_are_clockwise_and_holes_are_not(folder: Path) -> None:
    """Page 8: the neighbourhood to the right of a ring is inside."""
    shape = shapefile.Reader(str(folder / "fields.shp")).shape(0)
    outline, hole = (shape.points[start:end] for start, end in zip(shape.parts, [*shape.parts[1:], None], strict=True))
    assert area(outline) < 0 < area(hole)
    assert (LON, LAT) in outline


def test_a_field_without_boundary_is_a_null_shape(folder: Path) -> None:
    assert [shape.shapeType for shape in shapefile.Reader(str(folder / "fields.shp")).shapes()] == [5, 5, 5, 5, 0]


def test_texts_and_systems(folder: Path) -> None:
    assert (folder / "fields.cpg").read_text() == "UTF-8"
    assert 'GEOGCS["GCS_WGS_1984"' in (folder / "fields.prj").read_text()
    reader = shapefile.Reader(str(folder / "fields.shp"))
    assert reader.record(1)["name"] == "Schmale Äcker; zwei Teile"
    assert reader.record(0)["decl_m2"] == 550_000
    assert LONG.startswith(reader.record(0)["name"])
    assert all(len(field.name) <= 10 for field in reader.fields[1:])  # the first is the deletion mark


def test_the_sidecar_fits_its_schema(folder: Path) -> None:
    document = json.loads((folder / sidecar.NAME).read_text(encoding="utf-8"))
    Draft202012Validator(json.loads(SCHEMA.read_text(encoding="utf-8"))).validate(document)
    cells = document["layers"]["fields"]["cells"]
    assert [cell["value"] for cell in cells if cell["identity"] == [10] and cell["column"] == "name"] == [LONG]


def test_an_edited_cell_prevails_over_the_sidecar(folder: Path, tmp_path: Path) -> None:
    copy = shutil.copytree(folder, tmp_path / "edited")
    table = (copy / "fields.dbf").read_bytes()
    (copy / "fields.dbf").write_bytes(table.replace("Große".encode(), b"Weite "))
    assert str(read(copy).tables["fields"].table["name"][0]).startswith("Weite")


def test_rows_removed_before_a_long_text_do_not_shift_it(folder: Path, tmp_path: Path) -> None:
    copy = shutil.copytree(folder, tmp_path / "shorter")
    source = shapefile.Reader(str(folder / "guidance_lines.shp"))
    with shapefile.Writer(str(copy / "guidance_lines.shp"), encoding="utf-8") as target:
        target.fields = source.fields[1:]
        for item in list(source.iterShapeRecords())[2:]:
            target.record(*item.record)
            target.shape(item.shape)
    names = read(copy).tables["guidance_lines"].table["name"].to_pylist()
    assert names[0] == LONG


def test_a_missing_index_is_rebuilt_and_the_source_left_alone(folder: Path, tmp_path: Path) -> None:
    for kind in ("shp", "dbf", "prj", "cpg"):
        shutil.copy(folder / f"fields.{kind}", tmp_path)
    before = sorted(item.name for item in tmp_path.iterdir())
    source = read(tmp_path / "fields.shp")
    assert len(source.tables["fields"].table) == 5
    assert [finding.rule.id for finding in source.findings] == ["import.index-rebuilt"]
    assert sorted(item.name for item in tmp_path.iterdir()) == before


def test_a_missing_table_is_read_without(folder: Path, tmp_path: Path) -> None:
    for kind in ("shp", "shx", "prj"):
        shutil.copy(folder / f"fields.{kind}", tmp_path)
    source = read(tmp_path)
    assert [finding.rule.id for finding in source.findings] == ["import.no-attributes"]
    data = plain(source)
    assert [field.name for field in data.fields] == ["fields 1", "fields 2", "fields 3", "fields 4"]


def test_without_a_system_degrees_are_assumed_and_metres_refused(folder: Path, tmp_path: Path) -> None:
    for kind in ("shp", "shx", "dbf"):
        shutil.copy(folder / f"lines.{kind}", tmp_path)
    assert [finding.rule.id for finding in read(tmp_path).findings] == ["import.crs-assumed"]
    with shapefile.Writer(str(tmp_path / "metres.shp")) as target:
        target.field("NAME", "C")
        target.point(500_000.0, 5_800_000.0)
        target.record("Zone 32")
    with pytest.raises(UsageError, match=r'metres\.shp.*crs="EPSG:'):
        read(tmp_path)


@pytest.mark.parametrize("content", [b"", b"\0" * 50, b"nonsense" * 40, struct.pack(">i96x", 9994)])
def test_a_damaged_file_is_one_line(content: bytes, tmp_path: Path) -> None:
    (tmp_path / "bad.shp").write_bytes(content)
    with pytest.raises(SourceError, match=r"bad\.shp") as caught:
        read(tmp_path / "bad.shp")
    assert "\n" not in str(caught.value)


def test_one_damaged_file_of_a_folder_is_a_finding(folder: Path, tmp_path: Path) -> None:
    for kind in ("shp", "shx", "dbf", "prj", "cpg"):
        shutil.copy(folder / f"points.{kind}", tmp_path)
    (tmp_path / "bad.shp").write_bytes(b"nonsense" * 40)
    source = read(tmp_path)
    assert list(source.tables) == ["points"]
    assert [(item.rule.id, item.place.file) for item in source.findings] == [("import.unreadable-layer", "bad.shp")]


def test_file_names_in_any_case(folder: Path, tmp_path: Path) -> None:
    for kind, other in (("shp", "Shp"), ("shx", "SHX"), ("dbf", "dbf"), ("prj", "Prj"), ("cpg", "cpg")):
        shutil.copy(folder / f"points.{kind}", tmp_path / f"Points.{other}")
    source = read(tmp_path)
    assert source.findings == []
    assert source.tables["Points"].table["name"][0].as_py() == "Tor 'Nord'"


def test_more_than_2_gb_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """The lengths in the header and index are 32-bit numbers of 16-bit words; common practice is 2 GB."""
    monkeypatch.setattr(driver, "SIZE_LIMIT", 1000)
    layer = columns.from_rows(SPECS["points"], [{"key": number} for number in range(100)])
    with pytest.raises(TargetError, match="Convert to geojson, gpkg, "):
        driver.Shapefile().losses([layer])
    values = columns.from_rows(SPECS["log_values"], [{"key": number} for number in range(100)])
    with pytest.raises(TargetError, match=r"instead, or leave it out with `raw`"):
        driver.Shapefile().losses([values])


def test_columns_beyond_the_table_are_named_in_the_ledger() -> None:
    """dBASE tables hold 255 columns (common practice of readers)."""
    layer = columns.from_rows(SPECS["log_records"], [{"key": 1}])
    extra = {f"ddi_{number:04x}": pa.array([number]) for number in range(300)}
    arrays = dict(zip(layer.attributes.column_names, layer.attributes.columns, strict=True)) | extra
    wide = columns.Layer(layer.spec, pa.table(arrays | {"geometry": pa.array([None], pa.binary())}))
    losses = driver.Shapefile().losses([wide])
    assert len(losses) == 300 + len(layer.attributes.column_names) - 255
    assert {loss.kind for loss in losses} == {LossKind.DROPPED}


def test_short_names_differ() -> None:
    layer = columns.from_rows(SPECS["log_records"], [])
    extra = {f"ddi_0043_det{number}": pa.array([], pa.int32()) for number in range(100, 130)}
    arrays = dict(zip(layer.attributes.column_names, layer.attributes.columns, strict=True)) | extra
    short = [column.short for column in sidecar.columns(columns.Layer(layer.spec, pa.table(arrays)))]
    assert len({name.lower() for name in short}) == len(short)
    assert max(map(len, short)) <= 10


def test_parts_of_a_polygon_by_pyshp_are_those_of_the_record(folder: Path) -> None:
    shape = shapefile.Reader(str(folder / "fields.shp")).shape(1)
    boxes = [shapely.Polygon(area.exteriors[0]) for area in dataset().fields[1].boundaries[:2]]
    assert len(shape.parts) == 3
    found = shapely.union_all([shapely.Polygon(shape.points[start : start + 5]) for start in shape.parts])
    assert found.intersection(boxes[0]).equals(boxes[0])


@pytest.mark.parametrize("stated", [b"a\0b", b"BASE64", b"idna", b"\xff\xfe", b"x" * 9000])
def test_an_encoding_that_is_none_is_not_used(folder: Path, tmp_path: Path, stated: bytes) -> None:
    for kind in ("shp", "shx", "dbf", "prj"):
        shutil.copy(folder / f"points.{kind}", tmp_path)
    (tmp_path / "points.cpg").write_bytes(stated)
    assert read(tmp_path).tables["points"].table["name"][0].as_py() == "Tor 'Nord'"
