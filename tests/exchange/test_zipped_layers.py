"""Layers in zip archives give what the same files in a folder give."""

from __future__ import annotations

import io
import tempfile
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import taskdata
from taskdata.errors import SourceError, TaskdataError, UsageError
from tests.samples import OFFICE

SHAPEFILES = Path("samples/display-shapefiles")
POINT = '<gpx xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="54" lon="9"><name>{}</name></wpt></gpx>'


@pytest.fixture(autouse=True)
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where temporary folders are made; it is empty again after each test."""
    folder = tmp_path / "room"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    return folder


@pytest.fixture(autouse=True)
def _left_clean(room: Path) -> object:
    yield None
    assert list(room.iterdir()) == []


def packed(file: Path, **members: str | bytes) -> Path:
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return file


def folder_packed(file: Path, folder: Path, below: str = "") -> Path:
    inside = (path for path in sorted(folder.rglob("*")) if path.is_file())
    return packed(file, **{f"{below}{path.relative_to(folder).as_posix()}": path.read_bytes() for path in inside})


@pytest.mark.parametrize("below", ["", "export/2026/", "EXPORT\\deep\\"])
def test_shapefiles_are_read_as_their_folder_is(below: str, tmp_path: Path) -> None:
    wanted = taskdata.read(SHAPEFILES, crs="EPSG:32632")
    data = taskdata.read(folder_packed(tmp_path / "old.zip", SHAPEFILES, below), crs="EPSG:32632")
    assert data.source == str(tmp_path / "old.zip")
    assert data.format == wanted.format
    assert [field.name for field in data.fields] == [field.name for field in wanted.fields]
    for one, other in zip(data.fields, wanted.fields, strict=True):
        pairs = zip(one.boundaries, other.boundaries, strict=True)
        assert all(np.array_equal(a.exteriors[0], b.exteriors[0]) for a, b in pairs)
    assert len(data.guidance) == len(wanted.guidance)
    assert [told.rule.id for told in data.findings] == [told.rule.id for told in wanted.findings]


@pytest.mark.parametrize("form", ["geojson", "shapefile", "gpkg", "flatgeobuf"])
def test_a_whole_set_carried_along_comes_back(form: str, tmp_path: Path) -> None:
    target = tmp_path / "set" / ("set.gpkg" if form == "gpkg" else "set")
    taskdata.convert(OFFICE, target, to=form)
    archive = folder_packed(tmp_path / "set.zip", tmp_path / "set")
    differences = taskdata.compare(OFFICE, archive).differences
    assert list(differences) == []


def test_every_folder_and_every_archive_in_it_counts(tmp_path: Path) -> None:
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w") as archive:
        for path in SHAPEFILES.iterdir():
            archive.write(path, f"shapes/{path.name}")
    members = {
        "a/posts.gpx": POINT.format("A"),
        "b/posts.gpx": POINT.format("B"),
        "__MACOSX/._posts.gpx": b"\0\5",
        "notes.txt": "nothing of the kind",
        "old/inner.zip": inner.getvalue(),
    }
    data = taskdata.read(packed(tmp_path / "all.zip", **members), crs="EPSG:32632")
    assert {point.name for point in data.points} >= {"A", "B"}
    assert {field.name for field in data.fields} >= {
        field.name for field in taskdata.read(SHAPEFILES, crs="EPSG:32632").fields
    }


def test_the_set_of_a_stick_stays_the_set_and_another_beside_layers_is_refused(tmp_path: Path) -> None:
    files = {path.name: path.read_bytes() for path in OFFICE.rglob("*") if path.is_file()}
    sets, layers = (
        {f"TASKDATA/{name}": content for name, content in files.items()},
        {"old/posts.gpx": POINT.format("A")},
    )
    assert taskdata.read(packed(tmp_path / "set.zip", **sets, **{"notes.csv": "a,b\n1,2\n"})).format == "isoxml"
    stick = taskdata.read(packed(tmp_path / "stick.zip", **sets, **layers))
    assert stick.format == "isoxml"
    (told,) = (item for item in stick.findings if item.rule.id == "import.beside-the-set")
    assert "1 file of layers, which are not read with it: old/posts.gpx" in told.message
    deeper = {f"2026/{name}": content for name, content in sets.items()}
    both = packed(tmp_path / "both.zip", **deeper, **layers)
    with pytest.raises(UsageError, match="holds a task data set and layers") as caught:
        taskdata.read(both)
    assert f"{both}/2026/TASKDATA; {both}/old/posts.gpx" in str(caught.value)
    assert taskdata.read(both / "2026" / "TASKDATA").format == "isoxml"
    assert [point.name for point in taskdata.read(both / "old" / "posts.gpx").points] == ["A"]
    assert [point.name for point in taskdata.read(both, take="*.gpx").points] == ["A"]
    assert taskdata.read(both, take="2026").format == "isoxml"


def test_archives_of_layers_are_found_in_a_folder(tmp_path: Path) -> None:
    (tmp_path / "stick").mkdir()
    archive = packed(tmp_path / "stick" / "a.zip", **{"posts.gpx": POINT.format("A")})
    packed(tmp_path / "stick" / "b.zip", **{"letter.txt": "text"})
    found = [source for source, _ in taskdata.read_many([tmp_path / "stick"])]
    assert found == [str(archive)]


def test_what_leads_outside_is_not_written(tmp_path: Path) -> None:
    members = {"../../evil.gpx": POINT.format("evil"), "/abs/posts.gpx": POINT.format("A")}
    data = taskdata.read(packed(tmp_path / "a.zip", **members))
    assert [point.name for point in data.points] == ["A"]
    assert list(tmp_path.rglob("evil*")) == []


def test_damaged_parts_are_told_and_the_others_read(tmp_path: Path) -> None:
    archive = packed(
        tmp_path / "a.zip",
        **{"bad.gpx": POINT.format("x" * 999), "good.gpx": POINT.format("A"), "c.zip": b"PK\3\4junk"},
    )
    content = bytearray(archive.read_bytes())
    content[60:70] = b"\xff" * 10
    archive.write_bytes(bytes(content))
    data = taskdata.read(archive)
    assert [point.name for point in data.points] == ["A"]
    told = [item.place.file for item in data.findings if item.rule.id == "import.unreadable-layer"]
    assert told == ["bad.gpx", "c.zip"]
    assert all(item.unread for item in data.findings if item.rule.id == "import.unreadable-layer")


def bomb(file: Path) -> Path:
    return packed(file, **{"posts.gpx": POINT.format("A"), "big.csv": b"0" * (100 << 20)})


def twice(file: Path) -> Path:
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr("a.gpx", POINT.format("A"))
        archive.writestr("b.gpx", POINT.format("B"))
    file.write_bytes(file.read_bytes().replace(b"b.gpx", b"a.gpx"))
    return file


def in_metres(file: Path) -> Path:
    return folder_packed(file, SHAPEFILES)


@pytest.mark.parametrize(
    ("make", "why"),
    [
        (bomb, "would unpack to"),
        (twice, "holds a.gpx more than once"),
        (in_metres, "coordinate reference system"),
        (lambda file: packed(file, **{"a.gpx": "<gpx>"}), "no element found"),
    ],
)
def test_bad_archives_are_refused_in_a_line(make: Callable[[Path], Path], why: str, room: Path, tmp_path: Path) -> None:
    archive = make(tmp_path / "a.zip")
    with pytest.raises(TaskdataError, match=why) as caught:
        taskdata.read(archive)
    assert str(room) not in str(caught.value)
    assert str(archive) in str(caught.value)
    assert "\n" not in str(caught.value)


def test_an_archive_without_either_says_so(tmp_path: Path) -> None:
    with pytest.raises(SourceError, match="is a zip archive without"):
        taskdata.read(packed(tmp_path / "a.zip", **{"letter.txt": "text"}))
