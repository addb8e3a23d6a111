"""GPX against GDAL as reader and writer, and the GPX 1.1 schema (topografix.com/GPX/1/1, from memory of its names)."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import numpy as np
import pyogrio
import pytest
import shapely
from click.testing import CliRunner

import taskdata
from taskdata.cli import commands, main
from taskdata.errors import SourceError, TaskdataError
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.detect import detect
from taskdata.formats.drivers.gpx import DRIVER, read_file
from taskdata.formats.layers.of_dataset import project
from taskdata.formats.read import read
from tests import samples
from tests.formats.exchange import put_layers
from tests.formats.valley import dataset

HEAD = (
    '<?xml version="1.0"?>\n<gpx xmlns="http://www.topografix.com/GPX/1/1" xmlns:x="urn:x" version="1.1" creator="me">'
)
WAYPOINTS = """
<wpt lat="54.1" lon="9.4"><ele>12.5</ele><time>2026-05-01T12:00:00+02:00</time><name>Gate &amp; well</name>
<link href="a.jpg"><text>picture</text></link><sym>Flag</sym><extensions><x:depth>3.5</x:depth></extensions></wpt>
<wpt lat="54.3" lon="9.6"/>"""
ROUTE = '\n<rte><name>Way</name><rtept lat="54.1" lon="9.4"/><rtept lat="54.2" lon="9.5"><name>B</name></rtept></rte>'
DRIVE = """
<trk><name>Drive</name><trkseg>
<trkpt lat="54.1" lon="9.4"><ele>10</ele><time>2026-05-01T12:00:00.25Z</time><fix>dgps</fix><sat>8</sat>
<hdop>0.9</hdop><geoidheight>44.5</geoidheight><extensions><x:speed>1.5</x:speed></extensions></trkpt>
<trkpt lat="54.11" lon="9.41"><time>2026-05-01T12:00:01Z</time></trkpt></trkseg>
<trkseg><trkpt lat="54.12" lon="9.41"><time>2026-05-01T12:01:01Z</time></trkpt></trkseg></trk>"""
PLAIN = '\n<trk><trkseg><trkpt lat="54.1" lon="9.4"/><trkpt lat="54.11" lon="9.41"/></trkseg></trk>'
WHOLE = f"{HEAD}{WAYPOINTS}{ROUTE}{DRIVE}{PLAIN}\n</gpx>\n"


def put(folder: Path, text: str | bytes, name: str = "way.gpx") -> Path:
    file = folder / name
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return file


def test_everything_in_a_file_is_there(tmp_path: Path) -> None:
    file = put(tmp_path, WHOLE)
    found = read_file(file)
    assert list(found.tables) == ["waypoints", "routes", "route_points", "tracks", "Drive"]
    gate, other = found.tables["waypoints"].table.to_pylist()
    assert shapely.from_wkb(gate.pop(GEOMETRY)).equals_exact(shapely.Point(9.4, 54.1, 12.5))
    assert gate == {
        "name": "Gate & well",
        "time": datetime(2026, 5, 1, 10),
        "link": "a.jpg",
        "link_text": "picture",
        "sym": "Flag",
        "depth": 3.5,
    }
    assert other["name"] is None
    first, second, third = found.tables["Drive"].table.to_pylist()
    assert first.pop(GEOMETRY) == shapely.to_wkb(shapely.Point(9.4, 54.1))
    assert first == {
        "time": datetime(2026, 5, 1, 12, 0, 0, 250_000),
        "up_m": 54.5,
        "fix": 2,
        "satellites": 8,
        "hdop": 0.9,
        "segment": 1,
        "speed": 1.5,
    }
    assert (second["up_m"], third["segment"]) == (None, 2)
    assert found.tables["Drive"].log
    assert found.findings == []


def test_counts_and_places_are_those_of_gdal(tmp_path: Path) -> None:
    file = put(tmp_path, WHOLE)
    tables = read_file(file).tables
    for name in ("waypoints", "routes", "track_points"):
        _, _, shapes, _ = pyogrio.raw.read(file, layer=name)
        ours = [table for key, table in tables.items() if key == name or (name == "track_points" and table.log)]
        records = [record for table in ours for record in table.table[GEOMETRY].to_pylist()]
        theirs = shapely.get_coordinates(shapely.from_wkb(shapes))
        mine = shapely.get_coordinates(shapely.from_wkb(np.array(records, dtype=object)))
        assert np.array_equal(mine, theirs[: len(mine)]), name
        assert len(shapes) == len(records) + 2 * (name == "track_points")  # two points are of the track without times
    _, _, shapes, _ = pyogrio.raw.read(file, layer="tracks")
    assert len(shapes) == len(tables["tracks"].table) + sum(table.log for table in tables.values())


def test_what_gdal_writes_is_read(tmp_path: Path) -> None:
    rng = np.random.default_rng(3)
    places = shapely.points(rng.uniform(-180, 180, 50), rng.uniform(-90, 90, 50))
    texts = np.array([f"Post {number} <&>" for number in range(50)], dtype=object)
    pyogrio.raw.write(
        tmp_path / "posts.gpx", shapely.to_wkb(places), [texts], ["name"], geometry_type="Point", driver="GPX",
        layer="waypoints", crs="EPSG:4326",
    )  # fmt: skip
    assert detect(tmp_path) == detect(tmp_path / "posts.gpx") == "gpx"
    table = read(tmp_path / "posts.gpx").tables["posts"].table
    assert table["name"].to_pylist() == texts.tolist()
    found = shapely.get_coordinates(shapely.from_wkb(table[GEOMETRY].to_pylist()))
    assert found == pytest.approx(shapely.get_coordinates(places), abs=1e-8)


def test_gdal_reads_what_is_written(tmp_path: Path) -> None:
    layers = [
        layer for layer in project(dataset()) if layer.name in {"points", "lines", "guidance_lines", "log_records"}
    ]
    folder, losses = put_layers(layers, "gpx", tmp_path)
    of_gdal = {"points": "waypoints", "log_records": "track_points"}
    for layer in layers:
        _, _, shapes, fields = pyogrio.raw.read(
            folder / f"{layer.name}.gpx",
            layer=of_gdal.get(layer.name, "tracks"),
            columns=["name"] if layer.name == "points" else [],
        )
        wanted = shapely.from_wkb([record for record in layer.table[GEOMETRY].to_pylist() if record is not None])
        assert len(shapes) == len(wanted)
        assert np.array_equal(shapely.get_coordinates(shapely.from_wkb(shapes)), shapely.get_coordinates(wanted))
        if layer.name == "points":
            names = layer.table["name"].to_pylist()
            assert [text or None for text in fields[0].tolist()] == [name or None for name in names]
    told = [loss.what for loss in losses]
    assert any(what.startswith("columns key, id, field") for what in told)
    assert "column time of layer log_records" in told


def test_a_log_goes_out_and_comes_back(tmp_path: Path) -> None:
    points = "".join(
        f'<trkpt lat="{54 + n * 1.2345e-5!r}" lon="9.5"><time>2026-05-01T12:00:{n:02d}.500Z</time></trkpt>'
        for n in range(50)
    )
    file = put(tmp_path, f"{HEAD}<trk><name>Spray</name><trkseg>{points}</trkseg></trk></gpx>")
    data = taskdata.read(file)
    before = data.tasks[0].logs[0].records
    result = taskdata.convert(file, tmp_path / "back", to="gpx")
    after = taskdata.read(tmp_path / "back").tasks[0].logs[0].records
    assert data.tasks[0].name == "Spray"
    assert before is not None
    assert after is not None
    for name in ("lon", "lat", "time"):
        assert np.array_equal(getattr(before, name), getattr(after, name)), name
    assert all(loss.kind == "dropped" for loss in result.losses)


def test_polygons_are_refused_or_told(tmp_path: Path) -> None:
    (fields,) = (layer for layer in project(dataset()) if layer.name == "fields")
    with pytest.raises(TaskdataError, match="GPX holds points and lines alone"):
        DRIVER.losses([fields])
    shown = CliRunner().invoke(commands, ["convert", "samples/office", str(tmp_path / "out"), "--to", "gpx"])
    assert shown.exit_code == 0
    assert "layer fields: GPX holds points and lines alone" in shown.stdout


def test_a_cut_file_gives_what_stands_before(tmp_path: Path) -> None:
    file = put(tmp_path, WHOLE[: WHOLE.index('<trkpt lat="54.12"') + 30])
    data = taskdata.read(file)
    (told,) = (finding for finding in data.findings if finding.rule.id == "import.broken-off")
    assert told.facts["line"] == 11
    records = data.tasks[0].logs[0].records
    assert records is not None
    assert len(records.time) == 2
    with pytest.raises(SystemExit) as left:
        main(["inspect", str(file)])
    assert left.value.code == 1


def test_places_off_earth_are_told(tmp_path: Path) -> None:
    points = (
        '<wpt lat="95" lon="9"/><wpt lat="x" lon="9"/><wpt lon="9"/><wpt lat="54" lon="9"><time>today</time></wpt>'
        '<trk><name>T</name><trkseg><trkpt lat="nan" lon="9"/><trkpt lat="54" lon="9"><time>2026-01-01</time></trkpt>'
        "</trkseg></trk>"
    )
    found = read_file(put(tmp_path, f"{HEAD}{points}</gpx>"))
    assert [(told.rule.id, told.place.record) for told in found.findings] == [
        ("import.value-left-out", None),
        *(("import.bad-geometry", record) for record in range(3)),
    ]
    assert found.tables["waypoints"].table["time_text"].to_pylist() == [None, None, None, "today"]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "no element found"),
        (HEAD, "no element found"),
        (f"{HEAD}<wpt", "unclosed token"),
        ("<html/>", "begins with the element html"),
        ('<!DOCTYPE gpx [<!ENTITY a "b">]><gpx>&a;</gpx>', "it declares entities"),
        (
            '<!DOCTYPE gpx [<!ENTITY a SYSTEM "file:///etc/passwd">]><gpx><wpt lat="1" lon="1"/></gpx>',
            "declares entities",
        ),
        ("<gpx><wpt lat='1' lon='1'><name>&a;</name></wpt></gpx>", "undefined entity"),
        ("<gpx><wpt>" + "<a>" * 5000, "elements lie in one another"),
    ],
)
def test_damaged_and_hostile_files_are_refused_in_a_line(text: str, why: str, tmp_path: Path) -> None:
    with pytest.raises(SourceError, match="The GPX file cannot be read") as caught:
        read(put(tmp_path, text), "gpx")
    assert why in str(caught.value)
    assert "\n" not in str(caught.value)


def test_letters_of_another_encoding_are_told(tmp_path: Path) -> None:
    file = put(tmp_path, f'{HEAD}<wpt lat="54" lon="9"><name>Süd</name></wpt></gpx>'.encode("cp1252"))
    found = read_file(file)
    assert found.tables["way"].table["name"].to_pylist() == ["Süd"]
    assert [told.rule.id for told in found.findings] == ["import.letters-guessed"]


def test_a_folder_of_files_keeps_each(tmp_path: Path) -> None:
    for name in ("a.gpx", "b.gpx", "c.gpx"):
        put(tmp_path, WHOLE, name)
    tables = read(tmp_path).tables
    assert len(tables) == 3 * 5


def test_a_position_without_a_time_among_others_has_none(tmp_path: Path) -> None:
    points = '<trkpt lat="54" lon="9"><time>2026-05-01T12:00:00Z</time></trkpt><trkpt lat="54.1" lon="9"/>'
    data = taskdata.read(put(tmp_path, f"{HEAD}<trk><trkseg>{points}</trkseg></trk></gpx>"))
    records = data.tasks[0].logs[0].records
    assert records is not None
    assert np.isnat(records.time).tolist() == [False, True]
    assert records.extras["GpsUtcTime"].tolist() == [43_200_000, 0xFFFFFFFF]
    assert records.extras["GpsUtcDate"].tolist()[1] == 0xFFFF


def test_a_fence_comes_back_as_a_fence_and_an_obstacle_as_an_obstacle(tmp_path: Path) -> None:
    before = taskdata.read(samples.OFFICE)
    taskdata.convert(samples.OFFICE, tmp_path / "gpx", to="gpx")
    after = taskdata.read(tmp_path / "gpx")
    lines = sorted((line.kind, line.name or "") for line in before.lines)
    assert sorted((line.kind, line.name or "") for line in after.lines) == lines
    assert len(after.guidance) == len(before.guidance)
    assert sorted(point.kind for point in after.points) == sorted(point.kind for point in before.points)
