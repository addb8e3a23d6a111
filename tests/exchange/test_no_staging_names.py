"""A failure names the target, never the temporary folder that it is made in, whatever format and library fails."""

from __future__ import annotations

import os
import re
import resource
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
import pyogrio
import pytest

import taskdata
from taskdata.cli import main
from taskdata.errors import SourceError, TargetError
from taskdata.exchange import verify
from taskdata.formats.drivers import geojson
from taskdata.isoxml.writing import write as isoxml_write
from taskdata.staging import staged
from tests.formats.exchange import FORMATS, file_target
from tests.samples import MACHINE, OFFICE

TARGETS = {
    "isoxml": "out/TASKDATA",
    "zip": "out/set.zip",
    **{form: str(file_target(Path("out"), form)) for form in FORMATS},
}


def form_of(name: str) -> str:
    return "isoxml" if name == "zip" else name


def told_well(error: Exception, place: Path) -> str:
    text = str(error)
    assert ".part" not in text
    assert "/new/" not in text
    assert str(place) in text
    return text


def failing(text: str, kind: type[Exception] = pyogrio.errors.DataSourceError) -> Callable[..., Any]:
    """A function that fails as a library does: with the path that it was given in its words."""

    def fail(*values: Any, **named: Any) -> Any:
        path = next(value for value in (*values, *named.values()) if isinstance(value, Path))
        raise kind(text.format(path=path, full=path.absolute()))

    return fail


WORDS = ["Failed to create {path}: no", "sqlite3_open({full}) failed", "'{path}' is locked"]
LIBRARIES = {
    "gpkg": (pyogrio, "write_arrow", pyogrio.errors.DataSourceError),
    "shapefile": (pyogrio, "write_arrow", pyogrio.errors.DataLayerError),
    "parquet": (pq, "write_table", OSError),
}


@pytest.mark.parametrize("words", WORDS)
@pytest.mark.parametrize("name", LIBRARIES)
def test_words_of_libraries(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, words: str) -> None:
    home, function, kind = LIBRARIES[name]

    def fail(*values: Any, **named: Any) -> Any:
        return failing(words, kind)(*values[1:], **named)

    monkeypatch.setattr(home, function, fail)
    for target in (Path(TARGETS[name]), tmp_path / TARGETS[name]):
        monkeypatch.chdir(tmp_path)
        with pytest.raises(TargetError) as caught:
            taskdata.convert(OFFICE, target, to=name)
        told_well(caught.value, target)
        assert not (tmp_path / "out").exists()


def test_words_of_the_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(path: Path, *_: object, **__: object) -> None:
        raise OSError(28, "No space left on device", str(path))

    monkeypatch.setattr(isoxml_write, "_write", lambda content, stream, *_: refuse(Path(stream.name)))
    monkeypatch.setattr(geojson, "document", lambda layer: refuse(tmp_path))
    for name in ("isoxml", "geojson"):
        with pytest.raises(TargetError) as caught:
            taskdata.convert(OFFICE, tmp_path / TARGETS[name], to=name)
        assert "No space left on device" in told_well(caught.value, tmp_path / "out")


@pytest.mark.parametrize("name", TARGETS)
def test_a_target_that_cannot_be_read_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    def unreadable(place: Path) -> Any:
        raise SourceError("does not exist", where=place, why=f"no {place}/x and no {place}", remedy="Check the path")

    monkeypatch.setattr(verify, "load", unreadable)
    place = tmp_path / TARGETS[name]
    with pytest.raises(TargetError, match="cannot be read back and was not put in place") as caught:
        taskdata.convert(OFFICE, place, to=form_of(name), verify=True)
    assert "does not exist. Check the path" not in told_well(caught.value, tmp_path / "out")


@pytest.mark.parametrize("name", TARGETS)
@pytest.mark.parametrize("most", [100, 20_000, 40_000])
def test_a_disk_that_takes_no_more(
    tmp_path: Path, name: str, most: int, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The kernel itself refuses: no file may grow beyond some bytes (setrlimit, POSIX.1-2017)."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    words = ["convert", MACHINE, tmp_path / TARGETS[name], "--to", form_of(name), "--verify"]
    usual = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, usual[1]))
    try:
        with pytest.raises(SystemExit) as ended:
            main([str(word) for word in words])
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, usual)
    told = capsys.readouterr().err
    assert ended.value.code == 4, told
    assert ".part" not in told
    assert re.fullmatch(r"taskdata: [^\n]+\n", told)
    assert os.listdir(tmp_path) == []


def test_paths_are_put_right_in_every_part_of_a_message(tmp_path: Path) -> None:
    place = tmp_path / "my farm" / "set"

    def fail() -> None:
        with staged(place) as fresh:
            inside = f"{fresh}/a.shp and {fresh.parent.parent}/old and {fresh.parent}/inner/b.shp"
            raise TargetError(f"no {fresh}", where=fresh / "x", why=inside, remedy=f"see {fresh}")

    with pytest.raises(TargetError) as caught:
        fail()
    parent = place.parent
    assert str(caught.value) == f"{place}/x: no {place} ({place}/a.shp and {parent} and {parent}). see {place}"
