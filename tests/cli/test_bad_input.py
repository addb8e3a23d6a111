"""Whatever is given as a source: exit code 3, one line on stderr (what, where, what to do), nothing written."""

from __future__ import annotations

import os
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

DECLARATION = '<?xml version="1.0" encoding="UTF-8"?>'


def missing(_: Path, folder: Path) -> Path:
    return folder / "nowhere"


def empty_file(_: Path, folder: Path) -> Path:
    (folder / "TASKDATA.XML").write_bytes(b"")
    return folder / "TASKDATA.XML"


def empty_main_file(_: Path, folder: Path) -> Path:
    (folder / "TASKDATA.XML").write_bytes(b"")
    return folder


def empty_folder(_: Path, folder: Path) -> Path:
    (folder / "set").mkdir()
    return folder / "set"


def folder_without_a_set(_: Path, folder: Path) -> Path:
    (folder / "NOTES.TXT").write_text("no set here")
    return folder


def truncated(samples: Path, folder: Path) -> Path:
    whole = (samples / "office" / "TASKDATA" / "TASKDATA.XML").read_bytes()
    (folder / "TASKDATA.XML").write_bytes(whole[: len(whole) // 2])
    return folder


def no_xml(_: Path, folder: Path) -> Path:
    (folder / "TASKDATA.XML").write_bytes(bytes(range(256)) * 4)
    return folder


def wrong_root(_: Path, folder: Path) -> Path:
    (folder / "TASKDATA.XML").write_text(f"{DECLARATION}<notes/>")
    return folder


def document_type(_: Path, folder: Path) -> Path:
    entity = '<!DOCTYPE x [<!ENTITY y SYSTEM "file:///etc/hostname">]>'
    (folder / "TASKDATA.XML").write_text(f"{DECLARATION}{entity}<ISO11783_TaskData>&y;</ISO11783_TaskData>")
    return folder


def packed(samples: Path, folder: Path) -> Path:
    target = folder / "stick.zip"
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted((samples / "office" / "TASKDATA").iterdir()):
            archive.write(path, f"TASKDATA/{path.name}")
    return target


def cut_zip(samples: Path, folder: Path) -> Path:
    target = packed(samples, folder)
    target.write_bytes(target.read_bytes()[:-200])
    return target


def damaged_zip(samples: Path, folder: Path) -> Path:
    """The directory of the archive is whole, its largest member is not."""
    target = packed(samples, folder)
    content = bytearray(target.read_bytes())
    at = content.index(b"TASKDATA/TASKDATA.XML") + 200
    content[at : at + 400] = bytes(400)
    target.write_bytes(content)
    return target


def zip_without_a_set(_: Path, folder: Path) -> Path:
    with zipfile.ZipFile(folder / "stick.zip", "w") as archive:
        archive.writestr("NOTES.TXT", "no set here")
    return folder / "stick.zip"


def unreadable_shapefile(_: Path, folder: Path) -> Path:
    (folder / "fields.shp").write_bytes(b"\x00\x00\x27\x0a" + b"\xff" * 60)
    return folder / "fields.shp"


def broken_geojson(_: Path, folder: Path) -> Path:
    (folder / "fields.geojson").write_text('{"type": "FeatureCollection", "features": [')
    return folder / "fields.geojson"


def no_geopackage(_: Path, folder: Path) -> Path:
    (folder / "farm.gpkg").write_bytes(b"SQLite format 3\x00" + b"\x00" * 100)
    return folder / "farm.gpkg"


def picture(_: Path, folder: Path) -> Path:
    (folder / "field.png").write_bytes(b"\x89PNG\r\n\x1a\n")
    return folder / "field.png"


def other_xml(_: Path, folder: Path) -> Path:
    (folder / "field.gml").write_text(f'{DECLARATION}<FeatureCollection xmlns="http://www.opengis.net/gml"/>')
    return folder / "field.gml"


def table_of_text(_: Path, folder: Path) -> Path:
    (folder / "field.csv").write_text("A list of fields\nwithout columns\n")
    return folder / "field.csv"


def zipped_layers(_: Path, folder: Path) -> Path:
    with zipfile.ZipFile(folder / "fields.zip", "w") as archive:
        archive.writestr("fields.shp", b"")
    return folder / "fields.zip"


def device(_: Path, folder: Path) -> Path:
    os.mkfifo(folder / "pipe")
    return folder / "pipe"


CASES = [
    missing,
    other_xml,
    table_of_text,
    zipped_layers,
    device,
    empty_file,
    empty_main_file,
    empty_folder,
    folder_without_a_set,
    truncated,
    no_xml,
    wrong_root,
    document_type,
    cut_zip,
    damaged_zip,
    zip_without_a_set,
    unreadable_shapefile,
    broken_geojson,
    no_geopackage,
    picture,
]


def listing(folder: Path) -> dict[str, bytes | None]:
    return {str(path): path.read_bytes() if path.is_file() else None for path in folder.rglob("*")}


@pytest.mark.parametrize("make", CASES, ids=lambda make: make.__name__)
@pytest.mark.parametrize("command", ["check", "inspect", "convert"])
def test_bad_input(run: Callable, samples: Path, tmp_path: Path, command: str, make: Callable) -> None:
    inside = tmp_path / "in"
    inside.mkdir()
    source = make(samples, inside)
    before = listing(tmp_path)
    target = [tmp_path / "farm.gpkg"] if command == "convert" else []
    result = run(command, source, *target)
    assert (result.code, result.out) == (3, ""), result
    assert len(result.err.splitlines()) == 1
    assert result.err.startswith("taskdata: ")
    assert str(inside) in result.err
    assert len(result.err.rsplit(". ", 1)[-1].split()) >= 3, result.err
    assert listing(tmp_path) == before


def test_a_path_that_cannot_be_shown(run: Callable, tmp_path: Path) -> None:
    result = run("check", tmp_path / "\udcff")
    assert result.code == 3
    assert len(result.err.splitlines()) == 1


def test_a_folder_that_may_not_be_read(run: Callable, samples: Path, tmp_path: Path, monkeypatch) -> None:
    shutil.copytree(samples / "office", tmp_path / "set")

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", refuse)
    result = run("check", tmp_path / "set")
    assert result.code == 3
    assert "Permission denied" in result.err


def test_links_in_a_circle_are_passed_over(samples: Path, tmp_path: Path, run: Callable) -> None:
    folder = tmp_path / "TASKDATA"
    shutil.copytree(samples / "office" / "TASKDATA", folder)
    (folder / "A.XML").symlink_to("B.XML")
    (folder / "B.XML").symlink_to("A.XML")
    assert run("inspect", folder).code == 0


def test_a_stick_with_two_sets_is_refused(samples: Path, tmp_path: Path, run: Callable) -> None:
    for name in ("TASKDATA", "taskdata"):
        if not (tmp_path / name).exists():
            shutil.copytree(samples / "office" / "TASKDATA", tmp_path / name)
    if len(list(tmp_path.iterdir())) == 2:  # a disk that tells capitals from small letters
        assert run("inspect", tmp_path).code == 0  # it lists both
        result = run("convert", tmp_path, tmp_path.parent / "out.gpkg")
        assert result.code == 2
        assert "holds 2 sets (it is not clear which one is meant)" in result.err
        for name in ("TASKDATA", "taskdata"):
            assert str(tmp_path / name) in result.err
