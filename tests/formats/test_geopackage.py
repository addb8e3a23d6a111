"""GeoPackage against OGC 12-128r18, read by sqlite3 as the independent reader."""

from __future__ import annotations

import sqlite3
import struct
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pyogrio
import pytest
import shapely

from taskdata.errors import SourceError
from taskdata.exchange.convert import convert
from taskdata.formats.detect import detect
from taskdata.formats.drivers import geopackage as driver
from taskdata.formats.drivers.geopackage import DRIVER
from taskdata.formats.layers.of_dataset import project
from taskdata.formats.read import read
from taskdata.reports.words import message
from tests import samples
from tests.formats.exchange import put
from tests.formats.raw_layers import SQUARE, geopackage, wkb
from tests.formats.valley import carried, dataset


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return put(dataset(), "gpkg", tmp_path_factory.mktemp("gpkg"), carried())[0]


@pytest.fixture
def database(file: Path) -> Iterator[sqlite3.Connection]:
    with closing(sqlite3.connect(file)) as connection:
        yield connection


def test_application_id(file: Path, database: sqlite3.Connection) -> None:
    """Requirement 2: the application id is "GPKG" in ASCII."""
    assert file.read_bytes()[:16] == b"SQLite format 3\0"
    assert database.execute("PRAGMA application_id").fetchone()[0].to_bytes(4, "big") == b"GPKG"
    assert database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert database.execute("PRAGMA foreign_key_check").fetchall() == []


def test_required_tables(database: sqlite3.Connection) -> None:
    """Requirements 10, 13 and 21."""
    names = {name for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    assert {"gpkg_spatial_ref_sys", "gpkg_contents", "gpkg_geometry_columns"} <= names
    systems = {number for (number,) in database.execute("SELECT srs_id FROM gpkg_spatial_ref_sys")}
    assert {-1, 0, 4326} <= systems


def test_contents(database: sqlite3.Connection) -> None:
    contents = dict(database.execute("SELECT table_name, data_type FROM gpkg_contents"))
    layers = [layer.name for layer in project(dataset())]
    assert contents == dict.fromkeys(layers, "features") | {
        "carried_elements": "attributes",
        "carried_files": "attributes",
        "layer_styles": "attributes",
    }
    geometry = dict(database.execute("SELECT table_name, geometry_type_name FROM gpkg_geometry_columns"))
    assert geometry["fields"] == "MULTIPOLYGON"
    assert geometry["guidance_lines"] == "MULTILINESTRING"
    assert geometry["lines"] == "LINESTRING"


def test_geometry_blobs(database: sqlite3.Connection) -> None:
    """Clause 2.1.3: magic "GP", version 0, flags, system, and the geometry as WKB."""
    (blob,) = database.execute("SELECT geom FROM points WHERE key = 41").fetchone()
    assert blob[:3] == b"GP\0"
    little, envelope = blob[3] & 1, blob[3] >> 1 & 7
    assert (little, envelope) == (1, 0)
    assert struct.unpack("<i", blob[4:8]) == (4326,)
    record = next(point for point in dataset().points if point.key == 41)
    assert shapely.from_wkb(blob[8:]).coords[0] == (record.lon, record.lat)


def test_every_geometry_is_of_the_type_of_its_table(database: sqlite3.Connection) -> None:
    for (blob,) in database.execute("SELECT geom FROM guidance_lines WHERE geom IS NOT NULL"):
        size = 8 + {0: 0, 1: 32}[blob[3] >> 1 & 7]
        assert shapely.from_wkb(blob[size:]).geom_type == "MultiLineString"


def test_a_damaged_file_is_one_line(file: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.gpkg"
    bad.write_bytes(file.read_bytes()[:3000])
    assert detect(bad) == "gpkg"
    with pytest.raises(SourceError, match=r"bad\.gpkg") as caught:
        read(bad)
    assert "\n" not in str(caught.value)


def test_half_of_what_is_carried_is_refused(file: Path, tmp_path: Path) -> None:
    half = tmp_path / "half.gpkg"
    half.write_bytes(file.read_bytes())
    with closing(sqlite3.connect(half)) as connection:
        connection.execute("DROP TABLE carried_files")
        connection.execute("DELETE FROM gpkg_contents WHERE table_name = 'carried_files'")
        connection.execute("DELETE FROM gpkg_ogr_contents WHERE table_name = 'carried_files'")
        connection.commit()
    with pytest.raises(SourceError, match="carried tables are incomplete"):
        read(half)


def test_a_row_is_read_once_where_the_count_of_rows_is_stale(file: Path, tmp_path: Path) -> None:
    """As after a program that deletes rows and leaves gpkg_ogr_contents, a table of GDAL's own, as it was."""
    edited = tmp_path / "edited.gpkg"
    edited.write_bytes(file.read_bytes())
    with closing(sqlite3.connect(edited)) as connection:
        keys = [row[0] for row in connection.execute("SELECT key FROM points ORDER BY fid")]
        count = connection.execute("SELECT feature_count FROM gpkg_ogr_contents WHERE table_name = 'points'").fetchone()
        connection.execute("DELETE FROM points WHERE fid = 1")
        connection.execute("UPDATE gpkg_ogr_contents SET feature_count = ? WHERE table_name = 'points'", count)
        connection.commit()
    assert count[0] == len(keys) > 1
    table = DRIVER.read(edited, [edited]).tables["points"].table
    assert table["key"].to_pylist() == keys[1:]


def test_a_damaged_page_is_told(tmp_path: Path) -> None:
    """SQLite file format, section 1.6: a leaf page that counts no cells has lost them, and GDAL reads on."""
    path = geopackage(tmp_path / "plots.gpkg", *[wkb("Polygon", [SQUARE])] * 3)
    with closing(sqlite3.connect(path)) as database:
        (root,) = database.execute("select rootpage from sqlite_master where name = 'plots'").fetchone()
        (size,) = database.execute("pragma page_size").fetchone()
    content = bytearray(path.read_bytes())
    content[(root - 1) * size + 3 : (root - 1) * size + 5] = bytes(2)
    path.write_bytes(content)
    before = path.read_bytes()
    told = [message(finding) for finding in read(path).findings]
    assert told == ["plots.gpkg is damaged inside; rows may be missing."]
    assert path.read_bytes() == before
    assert [item.name for item in tmp_path.iterdir()] == ["plots.gpkg"]


def test_the_memory_of_an_index_is_limited_for_as_long_as_a_layer_is_written(tmp_path, monkeypatch):
    name, seen = "OGR_GPKG_MAX_RAM_USAGE_RTREE", []
    write = driver.write_layer

    def watched(*given):
        seen.append(pyogrio.get_gdal_config_option(name))
        write(*given)

    monkeypatch.setattr(driver, "write_layer", watched)
    convert(samples.MACHINE, tmp_path / "x.gpkg")
    assert {int(size) for size in seen} == {driver.INDEX_MEMORY}
    assert pyogrio.get_gdal_config_option(name) is None
