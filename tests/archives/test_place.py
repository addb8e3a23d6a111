"""What may stand where a catalogue goes, and what a caller may say."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import taskdata
from taskdata.cli import main
from tests import samples
from tests.archives.conftest import files_in


@pytest.fixture
def out(tmp_path: Path) -> Path:
    taskdata.catalogue(samples.STICKS[0], tmp_path / "out")
    return tmp_path / "out"


def ended(*words: object) -> int:
    with pytest.raises(SystemExit) as end:
        main([*map(str, words), "--quiet"])
    return int(end.value.code or 0)


def refused(out: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """The one line of a refusal with exit code 4, after which everything is as it was."""
    before = files_in(out) if out.is_dir() else out.read_bytes()
    assert ended("catalogue", samples.STICKS[1], out) == 4
    (line,) = capsys.readouterr().err.splitlines()
    assert (files_in(out) if out.is_dir() else out.read_bytes()) == before
    return line


def test_a_folder_with_something_else_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = tmp_path / "other"
    other.mkdir()
    (other / "notes.txt").write_text("mine", encoding="utf-8")
    assert "notes.txt" in refused(other, capsys)
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    assert "file" in refused(tmp_path / "file", capsys)


@pytest.mark.parametrize("name", ["notes.txt", "fields/year=2025/mine.parquet", "fields/year=2030/part-000001.parquet"])
def test_a_foreign_file_in_a_catalogue_is_refused(name: str, out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (out / name).parent.mkdir(exist_ok=True)
    (out / name).write_text("mine", encoding="utf-8")
    assert name in refused(out, capsys)


def test_a_missing_changed_or_linked_file_is_refused(
    out: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    part = out / "fields" / "year=2025" / "part-000001.parquet"
    content = part.read_bytes()
    part.write_bytes(content[:-1])
    assert part.name in refused(out, capsys)
    part.unlink()
    assert part.name in refused(out, capsys)
    (tmp_path / "elsewhere").write_bytes(content)
    part.symlink_to(tmp_path / "elsewhere")
    assert part.name in refused(out, capsys)


@pytest.mark.parametrize("page", ["", "[]", "null", '{"program": "taskdata", "catalogue": 2, "files": {}}'])
def test_a_page_of_no_or_another_catalogue_is_refused(page: str, out: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (out / "catalogue.json").write_text(page, encoding="utf-8")
    assert "catalogue.json" in refused(out, capsys)


def test_an_empty_folder_and_litter_are_no_hindrance(out: Path, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    assert ended("catalogue", samples.STICKS[0], tmp_path / "empty") == 0
    (out / "fields" / "Thumbs.db").write_bytes(b"x")
    assert ended("catalogue", samples.STICKS[1], out) == 0


def test_wrong_calls_are_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert ended("catalogue", tmp_path / "none", tmp_path / "out") == 3
    assert ended("catalogue", samples.STICKS[0], tmp_path / "out", "--workers", 0) == 2
    (tmp_path / "empty").mkdir()
    assert ended("catalogue", tmp_path / "empty", tmp_path / "out") == 3
    assert "holds no set that can be read" in capsys.readouterr().err
    with pytest.raises(taskdata.UsageError):
        taskdata.catalogue(samples.STICKS[0], tmp_path / "out", workers=0)
    assert not (tmp_path / "out").exists()


def test_the_command_lists_what_it_could_not_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    samples.copy(samples.OFFICE, tmp_path / "archive" / "good")
    bad = samples.copy(samples.OFFICE, tmp_path / "archive" / "bad") / "TASKDATA.XML"
    bad.write_bytes(b"<ISO11783_TaskData")
    assert ended("catalogue", tmp_path / "archive", tmp_path / "out", "--json") == 1
    page = json.loads(capsys.readouterr().out)
    assert page["command"] == "catalogue"
    assert [row["exit"] for row in page["sources"]] == [3, 0]
    assert page["sources"][1]["counts"]["fields"] == len(taskdata.read(samples.OFFICE).fields)
    assert ended("catalogue", tmp_path / "archive", tmp_path / "out") == 1
    text = capsys.readouterr().out
    assert "Not read (1 set)" in text
    assert "already in the catalogue" in text


def test_layers_in_another_system_come_in_when_it_is_named(tmp_path: Path) -> None:
    source = samples.SAMPLES / "mixed-stick" / "export"
    with pytest.raises(taskdata.SourceError):
        taskdata.catalogue(source, tmp_path / "out")
    assert taskdata.catalogue(source, tmp_path / "out", crs="EPSG:25832").exit_code == 0
