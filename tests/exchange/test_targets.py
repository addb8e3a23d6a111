"""Where targets go, and what is never overwritten."""

from __future__ import annotations

import hashlib
import zipfile
from pathlib import Path

import pytest

from taskdata.errors import TargetError, UsageError
from taskdata.exchange.convert import convert
from taskdata.exchange.targets import target_of
from taskdata.isoxml.reading.read import read_document
from tests import samples


def fingerprint(folder: Path) -> dict[str, str]:
    files = (item for item in sorted(folder.rglob("*")) if item.is_file())
    return {str(item.relative_to(folder)): hashlib.sha256(item.read_bytes()).hexdigest() for item in files}


@pytest.mark.parametrize(
    ("name", "to", "expected"),
    [
        ("farm.gpkg", None, "gpkg"),
        ("x.geojson", None, "geojson"),
        ("x.SHP", None, "shapefile"),
        ("x.parquet", None, "parquet"),
        ("TASKDATA", None, "isoxml"),
        ("stick.zip", None, "isoxml"),
        ("anything", "geojson", "geojson"),
    ],
)
def test_the_format_follows_from_the_name_or_the_word(name: str, to: str | None, expected: str) -> None:
    assert target_of(name, to, None).format == expected


def test_an_unknown_name_or_word_is_refused() -> None:
    with pytest.raises(UsageError, match="Give `to` with one of"):
        target_of("somewhere", None, None)
    with pytest.raises(UsageError, match="Choose one of"):
        target_of("somewhere", "docx", None)


@pytest.mark.parametrize(
    ("name", "to"),
    [("x.gpkg", "geojson"), ("x.ZIP", "geojson"), ("x.shp", "isoxml"), ("x.kmz", "kml"), ("x.txt", "gpkg")],
)
def test_a_name_of_another_format_is_refused(name: str, to: str, tmp_path: Path) -> None:
    with pytest.raises(UsageError, match=r"has the ending of .* is to be written\. Name another target, or leave `to`"):
        convert(samples.OFFICE, tmp_path / name, to=to)
    assert not list(tmp_path.iterdir())


def test_a_stick_keeps_what_else_is_on_it(tmp_path: Path) -> None:
    (tmp_path / "photo.jpg").write_bytes(b"picture")
    convert(samples.OFFICE, tmp_path, to="isoxml")
    assert (tmp_path / "TASKDATA" / "TASKDATA.XML").is_file()
    with pytest.raises(TargetError, match="exists already"):
        convert(samples.OLDER, tmp_path, to="isoxml")
    convert(samples.OLDER, tmp_path, to="isoxml", overwrite=True)
    assert (tmp_path / "photo.jpg").read_bytes() == b"picture"
    assert 'VersionMajor="3"' in (tmp_path / "TASKDATA" / "TASKDATA.XML").read_text(encoding="utf-8")


def test_a_folder_of_other_things_is_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "letter.txt").write_text("dear", encoding="utf-8")
    with pytest.raises(TargetError, match="other files"):
        convert(samples.OFFICE, tmp_path / "home", to="geojson", overwrite=True)
    assert (tmp_path / "home" / "letter.txt").read_text(encoding="utf-8") == "dear"


def test_a_zip_holds_the_folder(tmp_path: Path) -> None:
    convert(samples.OFFICE, tmp_path / "stick.zip")
    with zipfile.ZipFile(tmp_path / "stick.zip") as archive:
        assert "TASKDATA/TASKDATA.XML" in archive.namelist()


@pytest.mark.parametrize("where", [".", "TASKDATA", "TASKDATA/inside", ".."])
def test_a_source_is_never_changed(where: str, tmp_path: Path) -> None:
    source = samples.copy(samples.OFFICE, tmp_path / "stick").parent
    before = fingerprint(source)
    with pytest.raises((TargetError, UsageError)):
        convert(source, source / where, to="geojson", overwrite=True)
    with pytest.raises((TargetError, UsageError)):
        convert(source, source, to="isoxml", overwrite=True)
    assert fingerprint(source) == before


def test_a_set_keeps_its_version_unless_another_is_asked_for(tmp_path: Path) -> None:
    convert(samples.OFFICE, tmp_path / "same", to="isoxml")
    same = convert(samples.OFFICE, tmp_path / "again", to="isoxml", version=4)
    assert same.losses == ()
    convert(samples.OFFICE, tmp_path / "older", to="isoxml", version=3, verify=True)
    versions = [read_document(tmp_path / name).version for name in ("same", "again", "older")]
    assert versions == [(4, 3), (4, 3), (3, 3)]


def test_a_version_is_refused_for_other_formats_before_anything_is_read(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="only for ISO-XML"):
        convert(tmp_path / "nothing", tmp_path / "farm.gpkg", version=3)
