"""Files of other programs that are damaged, old or unusual: read as far as they go, and told."""

from __future__ import annotations

import json
import sqlite3
import struct
from pathlib import Path

import numpy as np
import pyogrio
import pytest
import shapefile
import shapely
from pyproj import CRS

from taskdata.errors import SourceError, TargetError, UsageError
from taskdata.exchange.convert import convert
from taskdata.exchange.load import load
from taskdata.formats.foreign.foreign_layers import plain
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.read import read
from taskdata.model.dataset import Dataset
from tests import samples

SQUARE = [[10.0, 54.0], [10.0, 54.003], [10.003, 54.003], [10.003, 54.0], [10.0, 54.0]]
FEATURE = {
    "type": "Feature",
    "properties": {"name": "Breite"},
    "geometry": {"type": "Polygon", "coordinates": [SQUARE]},
}
WGS84 = CRS.from_epsg(4326).to_wkt("WKT1_ESRI")


def square(folder: Path, name: str = "Breite", encoding: str = "utf-8") -> Path:
    """Write a shapefile of one field without a .cpg, by a library of its own."""
    with shapefile.Writer(str(folder / "plots.shp"), shapeType=shapefile.POLYGON, encoding=encoding) as writer:
        writer.field("NAME", "C", 20)
        writer.poly([SQUARE])
        writer.record(name)
    (folder / "plots.prj").write_text(WGS84)
    return folder


def told(data: Dataset) -> list[str]:
    return sorted({finding.rule.id for finding in data.findings})


def test_letters_of_an_older_encoding_are_guessed_and_told(tmp_path: Path) -> None:
    data = plain(read(square(tmp_path, "Große Wüste", "cp1252")))
    assert [field.name for field in data.fields] == ["Große Wüste"]
    assert told(data) == ["import.letters-guessed"]


def test_a_damaged_prj_counts_as_missing_and_is_told(tmp_path: Path) -> None:
    square(tmp_path)
    (tmp_path / "plots.prj").write_text('PROJCS["cut off')
    data = plain(read(tmp_path))
    assert len(data.fields) == 1
    assert told(data) == ["import.crs-assumed", "import.unreadable-crs"]


def test_a_prj_with_bytes_that_are_no_text_is_told_and_the_system_given_by_hand_counts(tmp_path: Path) -> None:
    place = square(tmp_path) / "plots.prj"
    text = place.read_bytes()
    place.write_bytes(text[:20] + b"\xff\xfe\x80" + text[20:])
    data = plain(read(tmp_path))
    assert len(data.fields) == 1
    assert told(data) == ["import.crs-assumed", "import.unreadable-crs"]
    data = plain(read(tmp_path, options=TakeOptions(crs="EPSG:4326")))
    assert len(data.fields) == 1
    assert told(data) == ["import.unreadable-crs"]


@pytest.mark.parametrize("kind", [".shp", ".dbf"])
def test_a_file_that_was_cut_off_is_told(kind: str, tmp_path: Path) -> None:
    part = square(tmp_path) / f"plots{kind}"
    part.write_bytes(part.read_bytes()[:-4])
    data = plain(read(tmp_path))
    assert "import.cut-off" in told(data)


def test_an_index_of_garbage_is_rebuilt(tmp_path: Path) -> None:
    (square(tmp_path) / "plots.shx").write_bytes(bytes(range(100)))
    data = plain(read(tmp_path))
    assert [field.name for field in data.fields] == ["Breite"]
    assert told(data) == ["import.index-rebuilt"]


def test_measures_are_named_in_the_ledger(tmp_path: Path) -> None:
    with shapefile.Writer(str(tmp_path / "way.shp"), shapeType=shapefile.POLYLINEM) as writer:
        writer.field("NAME", "C", 20)
        writer.linem([[[10.0, 54.0, 1.0], [10.01, 54.0, 2.0]]])
        writer.record("Weg")
    (tmp_path / "way.prj").write_text(WGS84)
    loaded = load(tmp_path)
    assert [loss.what for loss in loaded.losses] == ["measures of way.shp"]


def test_curves_are_left_out_and_the_rest_is_read(tmp_path: Path) -> None:
    """A circular string is type 8 of SQL/MM WKB, which GeoPackage 1.3 (annex on geometry types) allows."""
    path = tmp_path / "plots.gpkg"
    shapes = shapely.to_wkb([shapely.box(10.0, 54.0, 10.003, 54.003)] * 2)
    names = np.array(["rund", "eckig"], dtype=object)
    pyogrio.raw.write(
        path,
        np.array(shapes),
        [names],
        ["name"],
        layer="plots",
        driver="GPKG",
        geometry_type="Unknown",
        crs="EPSG:4326",
    )
    curve = b"\x01" + struct.pack("<II6d", 8, 3, 10.0, 54.0, 10.001, 54.001, 10.002, 54.0)
    with sqlite3.connect(path) as database:
        for (name,) in database.execute("select name from sqlite_master where type = 'trigger'").fetchall():
            database.execute(f'drop trigger "{name}"')
        database.execute("update plots set geom = ? where fid = 1", (b"GP\0\x01" + struct.pack("<i", 4326) + curve,))
    database.close()
    data = plain(read(path))
    assert [field.name for field in data.fields] == ["eckig"]
    assert told(data) == ["import.bad-geometry"]


@pytest.mark.parametrize("system", ["EPSG:25832", None])
def test_an_undefined_system_of_a_geopackage_is_none(system: str | None, tmp_path: Path) -> None:
    """GeoPackage 1.3, requirement 11: srs_id -1 is an undefined cartesian system."""
    path = tmp_path / "plots.gpkg"
    shape = np.array(shapely.to_wkb([shapely.box(565000.0, 5984000.0, 565100.0, 5984100.0)]))
    pyogrio.raw.write(path, shape, [], [], layer="plots", driver="GPKG", geometry_type="Polygon", crs="EPSG:25832")
    with sqlite3.connect(path) as database:
        database.execute("update gpkg_geometry_columns set srs_id = -1")
        database.execute("update gpkg_contents set srs_id = -1")
    database.close()
    if system is None:
        with pytest.raises(UsageError, match='crs="EPSG:'):
            read(path)
    else:
        assert len(plain(read(path, options=TakeOptions(crs=system))).fields) == 1


@pytest.mark.parametrize(("before", "between"), [("", "\n"), ("\x1e", "\n\x1e"), ("", "\r\n\n")])
def test_features_one_after_another_are_read(before: str, between: str, tmp_path: Path) -> None:
    """RFC 8142 puts a record separator before each; newlines alone are common practice."""
    (tmp_path / "plots.geojson").write_text(before + between.join([json.dumps(FEATURE)] * 3), newline="")
    assert len(plain(read(tmp_path)).fields) == 3


def test_a_collection_without_features_is_empty(tmp_path: Path) -> None:
    (tmp_path / "plots.geojson").write_text('{"type": "FeatureCollection", "features": []}')
    assert plain(read(tmp_path)).fields == ()


@pytest.mark.parametrize(
    ("kind", "coordinates", "reason"),
    [
        ("LineString", [[1.0, 2.0]], "all points of the line are one place"),
        ("Polygon", [[[10.0, "x"], [1.0], [10.0, 54.0]]], "a position is not a list"),
        ("Polygon", [7], "its coordinates are not nested"),
        ("Circle", [1.0, 2.0], "the type 'Circle' is unknown"),
    ],
)
def test_bad_coordinates_are_told_in_plain_words(kind: str, coordinates: object, reason: str, tmp_path: Path) -> None:
    geometry = {"type": kind, "coordinates": coordinates}
    features = [{"type": "Feature", "properties": {}, "geometry": geometry}, FEATURE]
    (tmp_path / "plots.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    data = plain(read(tmp_path))
    assert len(data.fields) == 1
    assert [str(finding.facts["reason"])[: len(reason)] for finding in data.findings[:1]] == [reason]


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("carried_elements", 0, "tag"), True),
        (("carried_files", 0, "content"), 5),
        (("carried_elements", 0), None),
        (("carried_elements",), 7),
        (("layers",), []),
        (("layers", "fields"), None),
        (("layers", "fields", "columns"), [1]),
        (("layers", "fields", "cells"), [{"column": []}]),
    ],
    ids=str,
)
def test_a_sidecar_that_was_tampered_with_is_one_line(
    path: tuple[str | int, ...], value: object, tmp_path: Path
) -> None:
    convert(samples.OFFICE, tmp_path / "shapes", to="shapefile")
    file = tmp_path / "shapes" / "taskdata-sidecar.json"
    document = json.loads(file.read_text(encoding="utf-8"))
    within = document
    for step in path[:-1]:
        within = within[step]
    within[path[-1]] = value
    file.write_text(json.dumps(document), encoding="utf-8")
    with pytest.raises(SourceError, match=r"sidecar\.json: The sidecar file is damaged .* remove it"):
        load(tmp_path / "shapes")


def test_two_files_of_one_name_are_two_layers(tmp_path: Path) -> None:
    for suffix, name, west in ((".geojson", "Kuhle", 7.0), (".json", "Bruch", 7.1)):
        ring = [[west, 54.3], [west + 0.001, 54.3], [west + 0.001, 54.301], [west, 54.301], [west, 54.3]]
        geometry = {"type": "Polygon", "coordinates": [ring]}
        feature = {"type": "Feature", "properties": {"name": name}, "geometry": geometry}
        text = json.dumps({"type": "FeatureCollection", "features": [feature]})
        (tmp_path / f"fields_2024{suffix}").write_text(text, encoding="utf-8")
    assert sorted(field.name for field in load(tmp_path).dataset.fields) == ["Bruch", "Kuhle"]


@pytest.mark.parametrize("name", ["farm.zip", "a!farm.gpkg", "Feld!/farm.gpkg", "old.zip!/a.zip"])
def test_a_layer_is_read_whatever_it_is_called(name: str, tmp_path: Path) -> None:
    convert(samples.OFFICE, tmp_path / "farm.gpkg")
    place = tmp_path / "in" / name
    place.parent.mkdir(parents=True)
    place.write_bytes((tmp_path / "farm.gpkg").read_bytes())
    there = load(place).dataset
    assert (there.format, len(there.fields)) == ("gpkg", 5)
    convert(samples.OFFICE, tmp_path / "layers", to="flatgeobuf")
    place.write_bytes((tmp_path / "layers" / "fields.fgb").read_bytes())
    there = load(place).dataset
    assert (there.format, len(there.fields)) == ("flatgeobuf", 5)


def test_a_shapefile_is_read_in_a_folder_with_an_exclamation_mark(tmp_path: Path) -> None:
    folder = tmp_path / "Feld!"
    folder.mkdir()
    data = plain(read(square(folder)))
    assert [field.name for field in data.fields] == ["Breite"]
    assert not told(data)


@pytest.mark.parametrize("name", ["a!farm.gpkg", "Feld!/farm.gpkg", "shapes!", "flat!"])
def test_nothing_is_written_beside_a_target_with_an_exclamation_mark(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    to = {"shapes!": "shapefile", "flat!": "flatgeobuf"}.get(name)
    with pytest.raises(TargetError, match=r"takes a ! in a path.* Name another target") as caught:
        convert(samples.OFFICE, name, to=to)
    assert caught.value.where == name
    assert not list(tmp_path.iterdir())
    done = convert(samples.OFFICE, "Feld!", to="geojson", verify=True)
    assert load(done.target).dataset.fields
