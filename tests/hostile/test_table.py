"""Hostile files, one a row: what makes it, and what the program says. Nothing hangs, none ends in a traceback.

Whatever is read, no connection is made: every row runs while the test listens on a port of its own, whose address the
files name where they can, and with an environment that asks GDAL and PROJ to use the network.
"""

from __future__ import annotations

import os
import socket
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pyarrow as pa
import pytest

from taskdata import limits
from taskdata.cli import main
from tests.hostile import makers
from tests.hostile.makers import geo, geopackage, parquet, pipe, shapefile, text

_VRT = (
    "<OGRVRTDataSource><OGRVRTLayer name='a'><SrcDataSource>/vsicurl/{url}/a</SrcDataSource></OGRVRTLayer>"
    "</OGRVRTDataSource>"
)
_WFS = "<OGRWFSDataSource><URL>{url}/wfs</URL></OGRWFSDataSource>"
_KIND = "its content is"
_ENDLESS = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i AS fid, NULL AS geom FROM n"
_CONTENTS = "INSERT INTO gpkg_contents (table_name, data_type, identifier) VALUES ('v', 'attributes', 'v')"


@dataclass(frozen=True)
class Row:
    """A hostile file: its name, what makes it, the exit code of ``inspect``, and what that says."""

    name: str
    make: Callable[[Path, str], Path]
    code: int
    said: str


ROWS = (
    Row("a CSV called a GeoPackage", text("a.gpkg", "id,WKT\n1,POINT (7 54)\n"), 3, _KIND),
    Row("a virtual layer called a GeoPackage", text("a.gpkg", _VRT), 3, _KIND),
    Row("a web service called a GeoPackage", text("a.gpkg", _WFS), 3, _KIND),
    Row(
        "KML called a GeoPackage",
        text(
            "a.gpkg", '<kml xmlns="http://www.opengis.net/kml/2.2"><NetworkLink><href>{url}</href></NetworkLink></kml>'
        ),
        3,
        "that of another format, KML",
    ),
    Row(
        "GeoJSON called a GeoPackage",
        text("a.gpkg", '{"type": "FeatureCollection", "features": [], "url": "{url}"}'),
        3,
        "that of another format, GeoJSON",
    ),
    Row("a web service called FlatGeobuf", text("a.fgb", _WFS), 3, _KIND),
    Row("a web service called a shapefile", text("a.shp", _WFS), 3, "fewer than the header"),
    Row(
        "a drawing with a virtual layer in it",
        text("a.dxf", f"999\n{_VRT}\n0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n"),
        0,
        "0 things",
    ),
    Row(
        "a drawing with a web service in it",
        text("a.dxf", f"999\n{_WFS}\n0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n"),
        0,
        "0 things",
    ),
    Row("a stored query without end", geopackage(f"CREATE VIEW v AS {_ENDLESS}", _CONTENTS), 1, "v is a view"),
    Row(
        "contents that are a query",
        geopackage("ALTER TABLE gpkg_contents RENAME TO c", f"CREATE VIEW gpkg_contents AS {_ENDLESS}"),
        3,
        "is a view, which would have to be run",
    ),
    Row(
        "a computed column",
        geopackage("ALTER TABLE plots ADD COLUMN x AS (hex(zeroblob(400000000)))"),
        3,
        "column x is computed by the database",
    ),
    Row(
        "a default of megabytes",
        geopackage(
            f"ALTER TABLE plots ADD COLUMN x TEXT DEFAULT '{'x' * 500_000}'",
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n LIMIT 5000) "
            "INSERT INTO gpkg_contents (table_name, data_type, identifier) SELECT 'y' || i, 'tiles', i FROM n",
            "CREATE TABLE z (fid INTEGER PRIMARY KEY)",
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n LIMIT 5000) INSERT INTO z SELECT i FROM n",
            f"ALTER TABLE z ADD COLUMN x TEXT DEFAULT '{'x' * 500_000}'",
            "INSERT INTO gpkg_contents (table_name, data_type, identifier) VALUES ('z', 'attributes', 'z')",
        ),
        1,
        "TASKDATA_LIMIT_UNPACKED_RATIO raises it",
    ),
    Row("a number a hundred million times", parquet(pa.nulls(100_000_000, pa.int8())), 3, "TASKDATA_LIMIT_UNPACKED_"),
    Row("a text of 100 kB 3000 times", parquet(pa.array(["x" * 100_000] * 3000)), 3, "TASKDATA_LIMIT_UNPACKED_FREE"),
    Row("a list of millions", parquet(pa.array([[1] * 9_000_000])), 3, "TASKDATA_LIMIT_UNPACKED_FREE"),
    Row("geometry nested too deep", parquet(pa.array([1, 2, 3]), b"[" * 100_000), 3, "description of the geometry"),
    Row("geometry that is no object", parquet(pa.array([1, 2, 3]), b"[]"), 3, "description of the geometry"),
    Row("geometry in an unknown way", parquet(pa.array([1, 2, 3]), geo(encoding=[1])), 3, "how the column geometry"),
    Row(
        "an address as a coordinate reference system",
        parquet(pa.array([1, 2, 3]), geo(encoding="WKB", crs="{url}/crs")),
        0,
        "rows.parquet",
    ),
    Row(
        "decimals, times and structures",
        parquet(pa.array([{"a": [1]}, None, {"a": []}]), geo(encoding="WKB")),
        0,
        "rows.parquet",
    ),
    Row("a system of bytes", shapefile(prj=b"\xff\xfe\x00GEOGCS"), 0, "plots"),
    Row("a system without end", shapefile(prj=b"GEOGCS[" * 5000), 0, "plots"),
    Row("a system that is an address", shapefile(prj=b"/vsicurl/{url}/a.prj"), 0, "plots"),
    Row("a column twice", shapefile(columns=[b"name", b"name"]), 0, "plots"),
    Row("columns without names", shapefile(columns=[b"", b""]), 0, "plots"),
    Row("columns of other letters", shapefile(columns=[b"\xff\xfe", b"geometry", b"fid"]), 0, "plots"),
    Row("a pipe as a system", shapefile(pipe=".prj"), 0, "plots"),
    Row("a pipe as an index", shapefile(pipe=".qix"), 0, "plots"),
    Row("a pipe as a table", shapefile(pipe=".dbf"), 0, "plots"),
    Row("a pipe as a source", pipe("a.geojson"), 3, "is a pipe or a device, which is never read"),
)


@pytest.fixture
def listening() -> Iterator[socket.socket]:
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.setblocking(False)
        yield server


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name.replace(" ", "-"))
def test_a_hostile_file_is_one_line_or_read_and_reaches_nothing(row, listening, tmp_path, monkeypatch, capsys):
    url = f"http://127.0.0.1:{listening.getsockname()[1]}"
    wished = {
        "PROJ_NETWORK": "ON",
        "PROJ_NETWORK_ENDPOINT": url,
        "OGR_SQLITE_LOAD_EXTENSIONS": "ENABLE_SQL_LOAD_EXTENSION",
        "OGR_SQLITE_ALLOW_EXTERNAL_ACCESS": "YES",
        "GDAL_HTTP_TIMEOUT": "2",
    }
    for name, value in wished.items():
        monkeypatch.setenv(name, value)
    path = row.make(tmp_path, url)
    with pytest.raises(SystemExit) as left:
        main(["inspect", str(path)])
    shown = capsys.readouterr()
    assert row.said in " ".join((shown.out + shown.err).split())
    assert left.value.code == row.code
    if row.code == 3:
        assert shown.err.startswith("taskdata: ")
        assert shown.err.count("\n") == 1
    with pytest.raises(BlockingIOError):
        listening.accept()


def test_a_limit_is_raised_by_its_variable(tmp_path, monkeypatch, capsys):
    path = parquet(pa.array(["x" * 100_000] * 1000))(tmp_path, "")
    monkeypatch.setenv("TASKDATA_LIMIT_UNPACKED_FREE", "many")
    with pytest.raises(SystemExit) as left:
        main(["inspect", str(path)])
    assert left.value.code == 2
    assert "TASKDATA_LIMIT_UNPACKED_FREE: is not a positive whole number" in capsys.readouterr().err
    monkeypatch.setenv("TASKDATA_LIMIT_UNPACKED_FREE", str(1 << 28))
    with pytest.raises(SystemExit) as left:
        main(["inspect", str(path)])
    assert left.value.code == 0


@pytest.mark.parametrize("form", ["text", "json", "sarif", "junit"])
def test_a_name_that_is_not_in_utf_8_is_shown(form, tmp_path, capsys):
    folder = tmp_path / os.fsdecode(b"b\xe9te")
    folder.mkdir()
    path = makers.layer(tmp_path)
    for item in tmp_path.glob("plots.*"):
        item.rename(folder / f"{os.fsdecode(bytes([110, 255]))}{item.suffix}")
    with pytest.raises(SystemExit) as left:
        main(["check", str(next(folder.glob(f"*{path.suffix}"))), "--format", form])
    assert left.value.code == 0
    assert capsys.readouterr().out


def test_every_limit_is_documented() -> None:
    page = (Path(__file__).parents[2] / "schemas/README.md").read_text(encoding="utf-8")
    for name, limit in limits.LIMITS.items():
        assert f"| `{limits.variable(name)}` | {limit.most} {limit.unit} | {limit.why} |" in page
