"""What lies on a stick, at any depth: each thing with the path to give, and what was left aside with the reason."""

from __future__ import annotations

import io
import os
import shutil
import zipfile
from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio import Affine

import taskdata
from taskdata.errors import SourceError, TargetError, UsageError
from taskdata.exchange.found.layer_facts import _OWN
from taskdata.exchange.survey_of_several import survey_of_several
from taskdata.formats.layers.of_dataset import SPECS
from tests import samples
from tests.exchange.test_taking import GPX, KML, fields

NMEA = "$GPGGA,092750.000,5321.6802,N,00630.3372,W,1,8,1.03,61.7,M,55.2,M,,*76\r\n"


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    """A set in an archive in a folder, layers in three formats, a raster, damaged and foreign files, and litter."""
    home = tmp_path / "stick"
    fields(home / "office" / "Schläge.geojson", "Norderkoppel", "Süderkoppel")
    (home / "line.kml").write_text(KML, encoding="utf-8")
    (home / "log.nmea").write_text(NMEA, encoding="ascii")
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w") as archive:
        archive.writestr("deep/posts.gpx", GPX.format(54.505, "Post"))
        for file in samples.OFFICE.iterdir():
            archive.writestr(f"set/TASKDATA/{file.name}", file.read_bytes())
    with zipfile.ZipFile(home / "old.zip", "w") as archive:
        archive.writestr("further/inner.zip", inner.getvalue())
    with rasterio.open(
        home / "map.tif", "w", "GTiff", 4, 3, 1, "EPSG:4326", Affine(0.01, 0.0, 9.5, 0.0, -0.01, 54.53), "float32"
    ) as file:
        file.write(np.ones((1, 3, 4), dtype=np.float32))
    (home / "readme.pdf").write_bytes(b"%PDF-1.4")
    (home / "empty.dat").write_bytes(b"")
    (home / "alone.dbf").write_bytes(b"\3" + bytes(40))
    (home / "bad.gpx").write_text("<gpx>", encoding="utf-8")
    (home / "bad.zip").write_bytes(b"PK\3\4junk")
    (home / "._line.kml").write_bytes(b"\0\5")
    (home / "loop").symlink_to(home, target_is_directory=True)
    return home


def test_each_thing_is_named_with_its_path(stick: Path) -> None:
    found = taskdata.survey(stick)
    assert [(item.path, str(item.kind), item.format, item.rows) for item in found.items] == [
        ("line.kml", "line", "kml", 1),
        ("log.nmea", "log", "nmea", 1),
        ("map.tif", "ratemap", "tif", 12),
        ("office/Schläge.geojson", "field", "geojson", 2),
        ("old.zip/further/inner.zip/deep/posts.gpx", "point", "gpx", 1),
        ("old.zip/further/inner.zip/set/TASKDATA", "taskdata", "isoxml", found.items[5].rows),
    ]
    assert all(0.0 < item.confidence <= 1.0 and item.why for item in found.items)
    assert found.items[3].bounds == (9.5, 54.5, 9.53, 54.51)
    assert found.items[2].bounds == pytest.approx((9.5, 54.5, 9.54, 54.53))
    assert found.items[3].crs == "EPSG:4326"
    for item in found.items:
        if item.format != "tif":
            assert taskdata.read(stick / item.path).counts is not None


def test_what_is_left_aside_says_why(stick: Path) -> None:
    found = taskdata.survey(stick)
    aside = dict(found.aside)
    assert set(aside) == {"readme.pdf", "empty.dat", "alone.dbf", "bad.gpx", "bad.zip", "loop"}
    assert aside["readme.pdf"] == "it is in no format that is read"
    assert aside["empty.dat"] == "it is empty"
    assert aside["alone.dbf"] == "the .shp file that it belongs to is missing"
    assert "no element found" in aside["bad.gpx"]
    assert "damaged zip archive" in aside["bad.zip"]
    assert "link" in aside["loop"]
    assert {item.unread.file for item in found.findings if item.unread} == {"bad.gpx", "bad.zip"}


def test_the_path_of_a_single_file_is_itself(stick: Path) -> None:
    (item,) = taskdata.survey(stick / "line.kml").items
    assert (item.path, item.rows) == (".", 1)
    assert taskdata.read(os.path.join(stick / "line.kml", item.path)).counts is not None
    (item,) = taskdata.survey(stick / "old.zip" / "further" / "inner.zip" / "deep").items
    assert item.path == "posts.gpx"
    (item,) = taskdata.survey(samples.OFFICE).items
    assert item.kind is taskdata.ItemKind.TASKDATA


def test_one_set_is_not_surveyed(stick: Path, tmp_path: Path) -> None:
    assert survey_of_several(stick) is not None
    assert survey_of_several(stick / "line.kml") is not None
    assert survey_of_several(samples.OFFICE) is None
    assert survey_of_several(samples.DISPLAY) is None
    assert survey_of_several(stick / "office") is None
    assert survey_of_several(tmp_path / "none") is None
    taskdata.convert(samples.OFFICE, tmp_path / "own.gpkg")
    taskdata.convert(samples.OFFICE, tmp_path / "own", to="geojson")
    assert survey_of_several(tmp_path / "own.gpkg") is None
    assert survey_of_several(tmp_path / "own" / "fields.geojson") is None
    found = taskdata.survey(tmp_path)
    kinds = {item.path: (str(item.kind), item.format) for item in found.items}
    assert kinds["own.gpkg"] == ("taskdata", "gpkg")
    assert kinds["own"] == ("taskdata", "geojson")


def test_copies_are_named_so(stick: Path) -> None:
    shutil.copytree(stick / "office", stick / "backup 2024-05-01")
    found = {item.path: item.why for item in taskdata.survey(stick).items}
    assert found["backup 2024-05-01/Schläge.geojson"].endswith("; it is a copy of office/Schläge.geojson")
    assert "copy" not in found["office/Schläge.geojson"]


def test_patterns_choose(stick: Path) -> None:
    assert [item.path for item in taskdata.survey(stick, take="*.kml").items] == ["line.kml"]
    with pytest.raises(UsageError, match=r"fits '\*\.shp'"):
        taskdata.survey(stick, take="*.shp")


def test_an_empty_folder_is_empty_and_a_missing_one_missing(tmp_path: Path) -> None:
    assert taskdata.survey(tmp_path).items == ()
    with pytest.raises(SourceError, match="does not exist"):
        taskdata.survey(tmp_path / "none")


def test_a_bomb_and_a_deep_tree_cost_only_themselves(tmp_path: Path) -> None:
    fields(tmp_path / "fields.geojson", "Norderkoppel")
    with zipfile.ZipFile(tmp_path / "bomb.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("a.csv", b"0" * (100 << 20))
    deep = tmp_path
    for _ in range(70):
        deep = deep / "d"
    deep.mkdir(parents=True)
    fields(deep / "deep.geojson", "Tief")
    found = taskdata.survey(tmp_path)
    assert [item.path for item in found.items] == ["fields.geojson"]
    aside = dict(found.aside)
    assert "would unpack to" in aside["bomb.zip"]
    assert "more than 64 folders" in aside["/".join(["d"] * 65)]


def test_many_small_files_are_looked_at(tmp_path: Path) -> None:
    for number in range(2000):
        (tmp_path / f"note {number}.txt").write_text("nothing", encoding="utf-8")
    fields(tmp_path / "fields.geojson", "Norderkoppel")
    found = taskdata.survey(tmp_path)
    assert (len(found.items), len(found.aside)) == (1, 2000)


def test_a_mapping_of_the_guess_changes_nothing(stick: Path, tmp_path: Path) -> None:
    (stick / "line.kml").rename(stick / "line [1] é.kml")
    shutil.copytree(stick / "office", stick / "second")
    fields(stick / "second" / "Schläge.geojson", "Dritte")
    file = tmp_path / "stick.toml"
    taskdata.make_mapping(stick, file)
    one, other = (
        taskdata.read(stick, take=["*.kml", "*.geojson", "*.gpx"], **more) for more in ({}, {"mapping": file})
    )
    assert [item.name for item in one.fields] == [item.name for item in other.fields]
    assert [item.name for item in one.guidance] == [item.name for item in other.guidance]
    told = [str(item) for item in other.findings if item.rule.id == "import.fits-nothing"]
    assert [text for text in told if "log.nmea" not in text and "map.tif" not in text] == []
    with pytest.raises(TargetError, match="exists already"):
        taskdata.make_mapping(stick, file)
    again = taskdata.survey(stick, mapping=file)
    assert [(item.path, item.kind, item.columns) for item in again.items] == [
        (item.path, item.kind, item.columns) for item in taskdata.survey(stick).items
    ]
    taken = taskdata.make_mapping(samples.DISPLAY, tmp_path / "display.toml")
    assert {item.path for item in taken.items} == {"BOUNDARY.SHP", "Lines_AB.shp", "Obst_old.shp", "flags.Shp"}
    data = taskdata.read(samples.DISPLAY, crs="EPSG:32632", mapping=tmp_path / "display.toml")
    wanted = taskdata.read(samples.DISPLAY, crs="EPSG:32632")
    assert [item.name for item in data.fields] == [item.name for item in wanted.fields]
    assert [line.name for line in data.guidance] == [line.name for line in wanted.guidance]
    alike = {item.message for item in data.findings if item.rule.id != "import.lines-steer"}
    assert alike <= {item.message for item in wanted.findings}


def test_every_layer_of_this_program_has_a_kind() -> None:
    assert set(_OWN) == set(SPECS)


def test_each_layer_that_a_set_becomes_is_surveyed(tmp_path: Path) -> None:
    taskdata.convert(samples.MACHINE, tmp_path / "layers", to="parquet")
    for path in sorted((tmp_path / "layers").iterdir()):
        (tmp_path / path.stem).mkdir()
        shutil.copy(path, tmp_path / path.stem)
        if not path.stem.startswith("carried"):
            (item,) = taskdata.survey(tmp_path / path.stem / path.name).items
            assert item.why == f"it is a layer {path.stem} of this program"
