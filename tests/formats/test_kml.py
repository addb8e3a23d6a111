"""KML and KMZ against GDAL as reader and writer, and OGC 12-007r2 (KML 2.3), whose names are from memory."""

from __future__ import annotations

import zipfile
from datetime import datetime
from pathlib import Path

import numpy as np
import pyogrio
import pytest
import shapely
from lxml import etree

import taskdata
from taskdata.errors import SourceError
from taskdata.formats.columns import ARROW, GEOMETRY
from taskdata.formats.detect import detect
from taskdata.formats.drivers import kmz
from taskdata.formats.drivers.kml import read_file
from taskdata.formats.layers.of_dataset import project
from taskdata.formats.read import read
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Point, PointKind
from tests.formats.exchange import put_layers
from tests.formats.valley import dataset

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.3">\n'
RING = "9.40,54.10 9.42,54.10 9.42,54.12 9.40,54.12 9.40,54.10"
HOLE = "9.405,54.105 9.410,54.105 9.410,54.110 9.405,54.105"
FIELDS = f"""<Document><name>Farm</name>
<Schema id="s1" name="plots"><SimpleField name="size" type="double"/><SimpleField name="code" type="string"/>
<SimpleField name="sown" type="bool"/></Schema>
<Folder><name>Plots</name>
<Placemark><name>Kuhle &amp; Moor</name><description><![CDATA[<b>wet</b>]]></description>
<TimeStamp><when>2026-05-01T12:00:00+02:00</when></TimeStamp>
<ExtendedData><SchemaData schemaUrl="#s1"><SimpleData name="size">7</SimpleData><SimpleData name="code">007</SimpleData>
<SimpleData name="sown">1</SimpleData></SchemaData><Data name="crop"><value>rye</value></Data></ExtendedData>
<Polygon><outerBoundaryIs><LinearRing><coordinates>{RING}</coordinates></LinearRing></outerBoundaryIs>
<innerBoundaryIs><LinearRing><coordinates>{HOLE}</coordinates></LinearRing></innerBoundaryIs></Polygon></Placemark>
<Placemark><name>Two parts</name><MultiGeometry>
<Polygon><outerBoundaryIs><LinearRing><coordinates>{RING}</coordinates></LinearRing></outerBoundaryIs></Polygon>
<LineString><coordinates>9.4,54.1,0 9.5,54.2,0</coordinates></LineString></MultiGeometry></Placemark>
</Folder>
<Folder><name>Posts</name>
<Placemark><name>Ground</name><Point><coordinates> 9.4, 54.1, 30 </coordinates></Point></Placemark>
<Placemark><Point><altitudeMode>absolute</altitudeMode><coordinates>9.4,54.1,30</coordinates></Point></Placemark>
<Placemark><name>Nowhere</name></Placemark>
</Folder>
</Document>
"""
TRACK = """<Document><Placemark><name>Drive</name><MultiTrack><altitudeMode>absolute</altitudeMode>
<Track><altitudeMode>absolute</altitudeMode><when>2026-05-01T10:00:00Z</when><when>2026-05-01T12:00:01+02:00</when>
<when>2026-05-01T10:00:02Z</when>
<coord>9.4 54.1 12.5</coord><coord>9.41 54.11 13</coord><coord/>
<ExtendedData><SchemaData schemaUrl="#x"><SimpleArrayData name="rate"><value>1.5</value><value>2</value><value/>
</SimpleArrayData></SchemaData></ExtendedData></Track>
<Track><when>2026-05-01T10:05:00Z</when><coord>9.42 54.12 0</coord></Track></MultiTrack></Placemark></Document>
"""


def put(folder: Path, body: str | bytes, name: str = "farm.kml") -> Path:
    file = folder / name
    file.write_bytes(body if isinstance(body, bytes) else f"{HEAD}{body}</kml>".encode())
    return file


def packed(folder: Path, **members: str) -> Path:
    with zipfile.ZipFile(folder / "farm.kmz", "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in members.items():
            archive.writestr(name.replace("_", "/"), text)
    return folder / "farm.kmz"


def test_names_texts_data_and_times_are_columns(tmp_path: Path) -> None:
    found = read_file(put(tmp_path, FIELDS))
    assert list(found.tables) == ["Plots", "Posts"]
    wet, second = found.tables["Plots"].table.to_pylist()
    shape = shapely.from_wkb(wet.pop(GEOMETRY))
    assert shape.exterior.coords[1] == (9.42, 54.10)
    assert len(shape.interiors) == 1
    assert wet == {
        "name": "Kuhle & Moor",
        "description": "<b>wet</b>",
        "time": datetime(2026, 5, 1, 10),
        "size": 7.0,
        "code": "007",
        "sown": True,
        "crop": "rye",
    }
    assert (second["size"], second["crop"]) == (None, None)
    posts = shapely.from_wkb(found.tables["Posts"].table[GEOMETRY].to_pylist())
    assert [shape is not None and shape.has_z for shape in posts] == [False, True, False]
    assert [told.rule.id for told in found.findings] == ["import.heights-left-out"]


def test_counts_and_places_are_those_of_gdal(tmp_path: Path) -> None:
    file = put(tmp_path, FIELDS)
    tables = read_file(file).tables
    assert [name for name, _ in pyogrio.list_layers(file).tolist()] == list(tables)
    for name, raw in tables.items():
        _, _, shapes, _ = pyogrio.raw.read(file, layer=name)
        theirs = shapely.force_2d(shapely.from_wkb(shapes))
        ours = shapely.force_2d(shapely.from_wkb(raw.table[GEOMETRY].to_pylist()))
        assert len(theirs) == len(ours)
        for one, other in zip(theirs, ours, strict=True):
            assert one is other is None or one.equals_exact(other)


@pytest.mark.parametrize("driver", ["KML", "LIBKML"])
def test_what_gdal_writes_is_read(driver: str, tmp_path: Path) -> None:
    boxes = [shapely.box(9 + 0.01 * k, 54, 9.005 + 0.01 * k, 54.005) for k in range(5)]
    names = np.array([f"Schlag {k} <ä>" for k in range(5)], dtype=object)
    pyogrio.raw.write(
        tmp_path / "plots.kml", shapely.to_wkb(boxes), [names, np.arange(5.0) / 3], ["Name", "rate"],
        geometry_type="Polygon", driver=driver, crs="EPSG:4326", layer="plots",
    )  # fmt: skip
    assert detect(tmp_path) == detect(tmp_path / "plots.kml") == "kml"
    source = read(tmp_path / "plots.kml")
    table = source.tables["plots"].table
    assert table["name"].to_pylist() == names.tolist()
    assert table["rate"].to_pylist() == pytest.approx((np.arange(5.0) / 3).tolist(), rel=1e-14)
    found = shapely.from_wkb(table[GEOMETRY].to_pylist())
    assert all(a.normalize().equals_exact(b.normalize(), 1e-12) for a, b in zip(found, boxes, strict=True))


@pytest.mark.parametrize("form", ["kml", "kmz"])
def test_gdal_reads_what_is_written(form: str, tmp_path: Path) -> None:
    layers = project(dataset())
    folder, losses = put_layers(layers, form, tmp_path)
    assert losses == []
    for layer in layers:
        file = folder / f"{layer.name}.{form}"
        assert detect(file) == form
        _, _, shapes, _ = pyogrio.raw.read(file if form == "kml" else f"/vsizip/{file}/doc.kml")
        wanted = shapely.from_wkb(layer.table[GEOMETRY].to_pylist())
        found = shapely.from_wkb(shapes)
        assert len(found) == len(wanted), layer.name
        for one, other in zip(found, wanted, strict=True):
            if other is None or other.is_empty:
                assert one is None or one.is_empty
            else:
                parts = [list(map(shapely.force_2d, shapely.get_parts(shape))) for shape in (one, other)]
                assert all(a.equals_exact(b) for a, b in zip(*parts, strict=True)), layer.name


@pytest.mark.parametrize("form", ["kml", "kmz"])
def test_layers_come_back_to_the_last_digit(form: str, tmp_path: Path) -> None:
    layers = project(dataset())
    source = read(put_layers(layers, form, tmp_path)[0])
    assert source.findings == []
    for layer in layers:
        table = source.tables[layer.name].table
        for column in layer.spec.columns:
            wanted = layer.table[column.name]
            if wanted.null_count < len(wanted) and column.name != "gps_time":
                assert table[column.name].cast(ARROW[column.type]).to_pylist() == wanted.to_pylist(), column.name
        pairs = [shapely.from_wkb(item[GEOMETRY].to_pylist()) for item in (table, layer.table)]
        assert np.array_equal(*map(shapely.get_coordinates, pairs))


def test_what_xml_cannot_hold_is_told(tmp_path: Path) -> None:
    texts = ["a\x01b", " two \r\n\t lines ", "<&\"'>", "ä\U0001f33e"]
    points = tuple(Point(PointKind.OTHER, 9.0, 54.0, name=text, key=key) for key, text in enumerate(texts, 1))
    (layer,) = project(Dataset("x", "isoxml", fields=(Field("PFD1", None, points=points),)))[1:] or [None]
    assert layer is not None
    path, losses = put_layers([layer], "kml", tmp_path)
    assert [loss.what for loss in losses] == ["control characters in 1 texts of column name of layer points"]
    assert read(path).tables["points"].table["name"].to_pylist() == ["ab", *texts[1:]]


def test_rings_turn_as_the_standard_says(tmp_path: Path) -> None:
    """OGC 12-007r2, clause 10.8: the outer ring counter-clockwise; an inner one the other way by common practice."""
    layers = [layer for layer in project(dataset()) if layer.name == "fields"]
    root = etree.parse(put_layers(layers, "kml", tmp_path)[0] / "fields.kml")
    for tag, wanted in (("outerBoundaryIs", True), ("innerBoundaryIs", False)):
        texts = [node.text for node in root.iterfind(f".//{{*}}{tag}//{{*}}coordinates")]
        rings = [[tuple(map(float, pair.split(","))) for pair in (text or "").split()] for text in texts]
        assert rings
        assert [shapely.LinearRing(ring).is_ccw for ring in rings] == [wanted] * len(rings)


def test_tracks_are_logs(tmp_path: Path) -> None:
    data = taskdata.read(put(tmp_path, TRACK))
    (task,) = data.tasks
    records = task.logs[0].records
    assert task.name == "Drive"
    assert records is not None
    assert [str(time) for time in records.time] == [
        "2026-05-01T10:00:00.000",
        "2026-05-01T10:00:01.000",
        "2026-05-01T10:05:00.000",
    ]
    assert records.lon.tolist() == [9.4, 9.41, 9.42]
    assert records.up_m is not None
    assert records.up_m[:2].tolist() == [12.5, 13.0]
    assert np.isnan(records.up_m[2])
    assert {told.rule.id for told in data.findings} == {
        "import.heights-taken",
        "import.times-in-utc",
        "import.log-columns-left-out",
    }


def test_links_and_pictures_are_told_and_not_opened(tmp_path: Path) -> None:
    put(tmp_path, FIELDS, "other.kml")
    body = (
        "<Document><NetworkLink><name>More</name><Link><href>other.kml</href></Link></NetworkLink>"
        "<NetworkLink><Link><href>http://192.0.2.1/a.kml</href></Link></NetworkLink><GroundOverlay/>"
        "<Placemark><styleUrl>http://192.0.2.1/s.kml#a</styleUrl><Point><coordinates>9,54</coordinates></Point>"
        "</Placemark></Document>"
    )
    found = read_file(put(tmp_path, body))
    assert found.tables["farm"].table.num_rows == 1
    assert [told.rule.id for told in found.findings] == ["import.link-not-followed", "import.value-left-out"]
    assert "the link other.kml and 1 more" in found.findings[0].message


@pytest.mark.parametrize(
    ("shape", "rule", "why"),
    [
        ("<Point><coordinates>9;54</coordinates></Point>", "import.bad-geometry", "longitude and latitude"),
        ("<Point><coordinates>a,54</coordinates></Point>", "import.bad-geometry", "no number"),
        ("<Point><coordinates>9,54 9,55</coordinates></Point>", "import.bad-geometry", "2 positions"),
        ("<Point/>", "import.bad-geometry", "0 positions"),
        ("<Polygon/>", "import.bad-geometry", "0 outer rings"),
        (
            "<Polygon><outerBoundaryIs><LinearRing><coordinates>9,54 9.1,54 9.1,54.1</coordinates></LinearRing>"
            "</outerBoundaryIs></Polygon>",
            "import.open-ring",
            "closed with a straight line",
        ),
    ],
)
def test_shapes_that_are_none_are_told(shape: str, rule: str, why: str, tmp_path: Path) -> None:
    sound = "<Placemark><Point><coordinates>9,54</coordinates></Point></Placemark>"
    found = read_file(put(tmp_path, f"<Document>{sound}<Placemark>{shape}</Placemark>{sound}</Document>"))
    assert found.tables["farm"].table.num_rows == 3
    (told,) = found.findings
    assert (told.rule.id, told.facts["row"]) == (rule, 2)
    assert why in told.message


def test_a_kmz_is_read_by_its_document(tmp_path: Path) -> None:
    other = f"{HEAD}{TRACK}</kml>"
    found = kmz.read_file(packed(tmp_path, **{"files_more.kml": other, "doc.kml": f"{HEAD}{FIELDS}</kml>"}))
    assert list(found.tables) == ["Plots", "Posts"]
    assert [told.facts["layer"] for told in found.findings if told.rule.id == "import.layer-left-out"] == [
        "files/more.kml in farm.kmz"
    ]
    assert detect(tmp_path / "farm.kmz") == "kmz"
    assert len(taskdata.read(tmp_path / "farm.kmz").fields) == 2


def bomb(folder: Path) -> Path:
    with (
        zipfile.ZipFile(folder / "farm.kmz", "w", zipfile.ZIP_DEFLATED) as archive,
        archive.open("doc.kml", "w") as inside,
    ):
        for _ in range(100):
            inside.write(b" " * (1 << 20))
    return folder / "farm.kmz"


def cut(folder: Path) -> Path:
    file = packed(folder, **{"doc.kml": f"{HEAD}{FIELDS}</kml>"})
    file.write_bytes(file.read_bytes()[:200])
    return file


def spoilt(folder: Path) -> Path:
    file = packed(folder, **{"doc.kml": f"{HEAD}{FIELDS}</kml>"})
    content = bytearray(file.read_bytes())
    content[60:80] = b"\xff" * 20
    file.write_bytes(bytes(content))
    return file


@pytest.mark.parametrize(
    ("make", "why"),
    [
        (bomb, "would unpack to 104857600 bytes"),
        (cut, "it is a damaged zip archive"),
        (spoilt, "the archive is damaged there"),
        (lambda folder: packed(folder, **{"a.txt": "x"}), "it holds no .kml file"),
        (lambda folder: packed(folder, **{"doc.kml": "<gpx/>"}), "begins with the element gpx"),
    ],
)
def test_damaged_and_hostile_archives_are_refused_in_a_line(make, why: str, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(SourceError) as caught:
        taskdata.read(make(tmp_path))
    assert why in str(caught.value)
    assert "\n" not in str(caught.value)


LAUGHS = '<!DOCTYPE kml [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]><kml><Document><name>&b;</name></Document></kml>'


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"<kml>", "no element found"),
        (b"\0\0\0\0", "not well-formed"),
        (LAUGHS.encode(), "declares entities"),
        (LAUGHS.encode("utf-16"), "declares entities"),
        (b"<kml>" + b"<a>" * 5000, "elements lie in one another"),
        (b'<?xml version="1.0" encoding="klingon"?><kml/>', "encoding"),
    ],
)
def test_damaged_and_hostile_files_are_refused_in_a_line(content: bytes, why: str, tmp_path: Path) -> None:
    with pytest.raises(SourceError, match="The KML file cannot be read") as caught:
        taskdata.read(put(tmp_path, content))
    assert why in str(caught.value)
    assert "\n" not in str(caught.value)


def test_an_empty_file_is_called_empty(tmp_path: Path) -> None:
    with pytest.raises(SourceError, match=r"\.kml: cannot be read \(it is empty\)\. Copy it again"):
        taskdata.read(put(tmp_path, b""))


def test_a_cut_file_gives_what_stands_before(tmp_path: Path) -> None:
    text = f"{HEAD}{FIELDS}"
    found = read_file(put(tmp_path, text[: text.index("Nowhere")].encode()))
    assert {name: raw.table.num_rows for name, raw in found.tables.items()} == {"Plots": 2, "Posts": 2}
    assert [told.rule.id for told in found.findings] == ["import.broken-off", "import.heights-left-out"]


def test_a_set_goes_out_and_its_fields_come_back(tmp_path: Path) -> None:
    taskdata.convert("samples/office", tmp_path / "out", to="kml")
    before, after = taskdata.read("samples/office"), taskdata.read(tmp_path / "out")
    assert sorted(field.name or "" for field in after.fields) == sorted(field.name or "" for field in before.fields)
    assert len(after.guidance) == len(before.guidance)
