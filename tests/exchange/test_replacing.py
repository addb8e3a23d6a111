"""Overwriting replaces what this program wrote and nothing else: what is foreign is named, and nothing is touched."""

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
import zipfile
from collections.abc import Callable
from pathlib import Path

import geopandas
import pyogrio
import pytest
from shapely import LineString

import taskdata
from taskdata.errors import TargetError
from taskdata.file_formats.declaration import Layers
from taskdata.file_formats.table import FORMATS, ISOXML, format_named
from tests import samples

FOLDERS = [form.name for form in FORMATS if form.writes and form.layers is Layers.ONE]


def everything(folder: Path) -> dict[str, str]:
    """Every path below a folder with what it is, and the digest of a file."""
    return {
        str(item.relative_to(folder)): os.readlink(item)
        if item.is_symlink()
        else hashlib.sha256(item.read_bytes()).hexdigest()
        if item.is_file()
        else "other"
        for item in sorted(folder.rglob("*"))
    }


def refused(target: Path, form: str, *named: str) -> None:
    """Overwriting is refused, names these, and changes nothing."""
    before = everything(target.parent)
    with pytest.raises(TargetError) as caught:
        taskdata.convert(samples.OLDER, target, to=form, overwrite=True)
    assert "\n" not in str(caught.value)
    assert [name for name in named if name not in str(caught.value)] == []
    assert everything(target.parent) == before


@pytest.fixture(scope="session")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A target of each format, which tests copy."""
    folder = tmp_path_factory.mktemp("written")
    for form in [*FOLDERS, ISOXML]:
        taskdata.convert(samples.OFFICE, folder / form, to=form)
    taskdata.convert(samples.OFFICE, folder / "farm.gpkg")
    taskdata.convert(samples.OFFICE, folder / "farm.zip", to=ISOXML)
    return folder


@pytest.fixture
def copied(written: Path, tmp_path: Path) -> Callable[[str], Path]:
    """A function that copies a target that was written into the folder of the test."""

    def copy(name: str) -> Path:
        source = written / name
        return Path((shutil.copytree if source.is_dir() else shutil.copy)(source, tmp_path / name))

    return copy


@pytest.mark.parametrize("form", FOLDERS)
def test_own_layers_are_replaced_and_others_refused(form: str, copied: Callable[[str], Path]) -> None:
    target, suffix = copied(form), format_named(form).suffix
    own = next(iter(sorted(target.glob(f"*{suffix}"))))
    shutil.copy(own, target / f"My copy{suffix}")
    refused(target, form, f"My copy{suffix}")
    (target / f"My copy{suffix}").rename(target / "letter.pdf")
    (target / "notes").mkdir()
    (target / f"link{suffix}").symlink_to(own)
    refused(target, form, "letter.pdf", "notes/", f"link{suffix}")
    (target / "letter.pdf").unlink()
    (target / f"link{suffix}").unlink()
    (target / "notes").rmdir()
    taskdata.convert(samples.OLDER, target, to=form, overwrite=True)
    taskdata.convert(samples.OFFICE, target, to=form, overwrite=True)


@pytest.mark.parametrize(
    ("form", "driver"),
    [("geojson", "GeoJSON"), ("shapefile", "ESRI Shapefile"), ("flatgeobuf", "FlatGeobuf"), ("csv", "CSV")],
)
def test_a_layer_of_another_program_is_refused_whatever_its_name(form: str, driver: str, tmp_path: Path) -> None:
    suffix = format_named(form).suffix
    target = tmp_path / "layers"
    target.mkdir()
    line = LineString([(7.0, 54.3), (7.01, 54.3)])
    rows = geopandas.GeoDataFrame({"id": ["PFD1"], "name": ["Acker"]}, geometry=[line], crs=4326)
    if form == "csv":
        rows.to_csv(target / "fields.csv", index=False)
    else:
        pyogrio.write_dataframe(rows, target / f"fields{suffix}", driver=driver)
    refused(target, form, f"fields{suffix}")
    (target / f"fields{suffix}").rename(tmp_path / f"alone{suffix}")
    for ending in format_named(form).beside:
        if (target / f"fields{ending}").exists():
            (target / f"fields{ending}").rename(tmp_path / f"alone{ending}")
    shutil.rmtree(target)
    with pytest.raises(TargetError, match="was not written by this program"):
        taskdata.passes(samples.OFFICE, field="PFD1", line="GPN1", output=tmp_path / f"alone{suffix}", overwrite=True)


def test_what_is_beside_a_set_is_kept_and_what_is_among_its_files_refused(
    copied: Callable[[str], Path], tmp_path: Path
) -> None:
    stick = copied(ISOXML)
    (stick / "photo.jpg").write_bytes(b"beside")
    inner = stick / "TASKDATA"
    (inner / "photo.jpg").write_bytes(b"mine")
    (inner / "sub").mkdir()
    (inner / "CTR00001.XML").symlink_to(inner / "photo.jpg")
    os.mkfifo(inner / "TLG00077.BIN")
    refused(stick, ISOXML, "photo.jpg", "sub/", "CTR00001.XML", "TLG00077.BIN")
    for name in ("photo.jpg", "CTR00001.XML", "TLG00077.BIN"):
        (inner / name).unlink()
    (inner / "sub").rmdir()
    (inner / "tlg00009.bin").write_bytes(b"a log that the set no longer names")
    (inner / ".DS_Store").write_bytes(b"left")
    taskdata.convert(samples.OLDER, stick, to=ISOXML, overwrite=True)
    assert sorted(item.name for item in stick.iterdir()) == ["TASKDATA", "photo.jpg"]
    assert 'VersionMajor="3"' in (inner / "TASKDATA.XML").read_text(encoding="utf-8")


def test_a_file_that_the_set_names_or_the_new_one_brings_again_is_no_obstacle(tmp_path: Path) -> None:
    source = samples.copy(samples.OFFICE, tmp_path / "source")
    (source / "plan.pdf").write_bytes(b"of nobody")
    taskdata.convert(source, tmp_path / "out", to=ISOXML)
    assert (tmp_path / "out" / "TASKDATA" / "PLAN.PDF").is_file()
    taskdata.convert(source, tmp_path / "out", to=ISOXML, overwrite=True)
    refused(tmp_path / "out", ISOXML, "PLAN.PDF")
    main = tmp_path / "out" / "TASKDATA" / "TASKDATA.XML"
    attached = '<AFE A="PLAN.PDF" B="1" C="x" D="9"/></ISO11783_TaskData>'
    main.write_text(main.read_text(encoding="utf-8").replace("</ISO11783_TaskData>", attached), encoding="utf-8")
    taskdata.convert(samples.OLDER, tmp_path / "out", to=ISOXML, overwrite=True)


@pytest.mark.parametrize("content", [b"", b"<Garden/>", b"PK\x03\x04 nothing"])
def test_a_folder_whose_main_file_is_none_is_refused(content: bytes, tmp_path: Path) -> None:
    (tmp_path / "TASKDATA").mkdir()
    (tmp_path / "TASKDATA" / "taskdata.xml").write_bytes(content)
    (tmp_path / "TASKDATA" / "TLG00001.BIN").write_bytes(b"a log of somebody")
    refused(tmp_path / "TASKDATA", ISOXML, "taskdata.xml", "TLG00001.BIN")


def test_a_waste_bin_with_something_in_it_is_refused(copied: Callable[[str], Path]) -> None:
    target = copied("geojson")
    (target / ".Trash-1000" / "files").mkdir(parents=True)
    (target / ".Trash-1000" / "files" / "season.zip").write_bytes(b"mine")
    refused(target, "geojson", ".Trash-1000/files")


def test_an_archive_is_replaced_unless_something_else_lies_in_it(copied: Callable[[str], Path]) -> None:
    target = copied("farm.zip")
    taskdata.convert(samples.OLDER, target, to=ISOXML, overwrite=True)
    with zipfile.ZipFile(target, "a") as archive:
        archive.writestr("photo.jpg", b"mine")
        archive.writestr("TASKDATA/letter.txt", b"mine")
        archive.writestr("notes/a.txt", b"mine")
    refused(target, ISOXML, "photo.jpg", "TASKDATA/letter.txt", "notes/")
    target.write_bytes(b"no archive")
    refused(target, ISOXML, "was not written by this program")


def test_tables_that_were_added_to_a_geopackage_are_refused(copied: Callable[[str], Path]) -> None:
    target = copied("farm.gpkg")
    with sqlite3.connect(target) as base:
        base.execute("CREATE TABLE drains (a INTEGER)")
        base.execute("UPDATE layer_styles SET styleQML = 'of somebody' WHERE f_table_name = 'fields'")
    base.close()
    refused(target, "gpkg", "farm.gpkg/drains", "farm.gpkg/layer_styles")
    with sqlite3.connect(target) as base:
        base.execute("DROP TABLE drains")
        base.execute("DELETE FROM layer_styles")
    base.close()
    log = target.with_name("farm.gpkg-wal")
    log.write_bytes(b"another program has it open")
    refused(target, "gpkg", "was not written by this program")
    log.unlink()
    taskdata.convert(samples.OLDER, target, overwrite=True)


@pytest.mark.parametrize("name", ["farm.gpkg", "farm.zip", "geojson", ISOXML])
def test_a_link_is_not_followed_and_not_replaced(name: str, copied: Callable[[str], Path], tmp_path: Path) -> None:
    real = copied(name)
    place = real / "TASKDATA" if name == ISOXML else real
    place.rename(tmp_path / "elsewhere")
    place.symlink_to(tmp_path / "elsewhere", target_is_directory=place.suffix == "")
    before = everything(tmp_path)
    form = {"farm.gpkg": "gpkg", "geojson": "geojson"}.get(name, ISOXML)
    with pytest.raises(TargetError, match="was not written by this program"):
        taskdata.convert(samples.OLDER, real, to=form, overwrite=True)
    assert everything(tmp_path) == before


def test_a_target_of_another_format_is_refused(copied: Callable[[str], Path]) -> None:
    refused(copied("geojson"), "shapefile", "fields.geojson", "carried_elements.geojson")


def test_rows_that_were_edited_do_not_keep_a_layer_from_being_replaced(copied: Callable[[str], Path]) -> None:
    target = copied("geojson")
    layer = pyogrio.read_dataframe(target / "fields.geojson")
    layer["mine"] = 1
    layer["name"] = "edited"
    pyogrio.write_dataframe(layer, target / "fields.geojson", driver="GeoJSON")
    taskdata.convert(samples.OFFICE, target, to="geojson", overwrite=True)
    assert taskdata.compare(samples.OFFICE, target).equal


def test_a_raster_and_a_journal_are_replaced_if_they_are_our_own(tmp_path: Path) -> None:
    raster = tmp_path / "applied.tif"
    for _ in range(2):
        taskdata.coverage(samples.MACHINE, task="TSK1", raster=raster, cell_m=20.0, overwrite=True)
    raster.write_bytes(b"II*\0 of somebody")
    with pytest.raises(TargetError, match="was not written by this program"):
        taskdata.coverage(samples.MACHINE, task="TSK1", raster=raster, cell_m=20.0, overwrite=True)
    assert raster.read_bytes() == b"II*\0 of somebody"
    for _ in range(2):
        taskdata.clean(samples.OLDER, tmp_path / "clean", overwrite=True)
    journal = next(tmp_path.rglob("*.journal.json"))
    journal.write_text('{"mine": 1}', encoding="utf-8")
    before = everything(tmp_path)
    with pytest.raises(TargetError, match=r"journal\.json: was not written by this program"):
        taskdata.clean(samples.OLDER, tmp_path / "clean", overwrite=True)
    assert everything(tmp_path) == before
