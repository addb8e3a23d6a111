"""``taskdata convert``: ledger, exit codes, and that a target is written whole or not at all."""

from __future__ import annotations

import json
import sqlite3
import zipfile
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

from taskdata.file_formats.declaration import Shape
from taskdata.file_formats.table import format_named, writable_names
from tests.documents import READING

SCHEMA = {
    "type": "object",
    "additionalProperties": False,
    "required": ["source", "target", "written", "losses", "new_errors", "datum", *READING],
    "properties": {
        **READING,
        "source": {"type": "string"},
        "target": {"type": "string"},
        "written": {"type": "object", "additionalProperties": {"type": "integer", "minimum": 0}},
        "losses": {
            "type": "array",
            "items": {
                "type": "object",
                "additionalProperties": False,
                "required": ["kind", "element", "what", "why"],
                "properties": {
                    "kind": {"enum": ["dropped", "changed", "approximated"]},
                    "element": {"type": ["string", "null"]},
                    "what": {"type": "string", "minLength": 1},
                    "why": {"type": "string", "minLength": 1},
                },
            },
        },
        "new_errors": {
            "type": "array",
            "items": {"type": "object", "required": ["rule", "severity", "message", "file", "line", "element"]},
        },
        "datum": {
            "type": "array",
            "items": {
                "type": "object",
                "additionalProperties": False,
                "required": ["layers", "from", "to", "operation", "accuracy_m", "note"],
                "properties": {
                    "layers": {"type": "array", "items": {"type": "string"}, "minItems": 1},
                    "from": {"type": "string"},
                    "to": {"const": "EPSG:4326"},
                    "operation": {"type": "string"},
                    "accuracy_m": {"type": ["number", "null"]},
                    "note": {"type": ["string", "null"]},
                },
            },
        },
    },
}
FORMATS = writable_names()


@pytest.mark.parametrize("to", FORMATS)
def test_every_format_gives_a_ledger_and_a_dry_run_the_same(
    run: Callable, samples: Path, tmp_path: Path, to: str
) -> None:
    target = tmp_path / "out"
    words = ("convert", samples / "office", target, "--to", to, "--json")
    dry = run(*words, "--dry-run")
    assert not target.exists()
    if not format_named(to).shapes >= set(Shape):
        refused = run(*words, "--verify")
        assert (refused.code, len(refused.err.splitlines()), target.exists()) == (2, 1, False)
        done = run(*words)
    else:
        done = run(*words, "--verify")
    assert (done.code, done.err) == (0, "")
    assert target.exists()
    jsonschema.validate(json.loads(done.out), SCHEMA)
    assert dry.out == done.out


def test_geopackage_is_one_that_others_can_open(run: Callable, samples: Path, tmp_path: Path) -> None:
    """Application id and contents table of OGC 12-128r18 (GeoPackage 1.3), 1.1.1.1.1 and 1.1.3.1."""
    target = tmp_path / "farm.gpkg"
    assert run("convert", samples / "office", target).code == 0
    database = sqlite3.connect(target)
    try:
        assert database.execute("PRAGMA application_id").fetchone()[0] == int.from_bytes(b"GPKG", "big")
        assert database.execute("SELECT count(*) FROM gpkg_contents").fetchone()[0] > 0
    finally:
        database.close()


def test_a_set_comes_back_the_same(run: Callable, samples: Path, tmp_path: Path) -> None:
    run("convert", samples / "office", tmp_path / "farm.gpkg")
    back = run("convert", tmp_path / "farm.gpkg", tmp_path / "stick", "--to", "isoxml", "--verify")
    assert back.code == 0
    first = json.loads(run("inspect", samples / "office", "--json").out)
    second = json.loads(run("inspect", tmp_path / "stick", "--json").out)
    assert {**first, "source": ""} == {**second, "source": ""}
    assert (tmp_path / "stick" / "TASKDATA" / "TASKDATA.XML").is_file()


def test_a_zip_holds_a_taskdata_folder(run: Callable, samples: Path, tmp_path: Path) -> None:
    assert run("convert", samples / "office", tmp_path / "stick.zip").code == 0
    names = zipfile.ZipFile(tmp_path / "stick.zip").namelist()
    assert "TASKDATA/TASKDATA.XML" in names
    assert all(name.startswith("TASKDATA/") for name in names)


def test_text_names_what_is_lost_and_cautions(run: Callable, samples: Path, tmp_path: Path) -> None:
    result = run("convert", samples / "office", tmp_path / "farm.gpkg", "--dry-run")
    assert "Nothing was written (dry run)" in result.out
    assert "fields 5" in result.out
    assert "drive the first pass by eye" in " ".join(result.out.split())
    assert max(map(len, result.out.splitlines()[1:])) <= 80
    assert list(tmp_path.iterdir()) == []


def test_an_existing_target_is_refused_unless_allowed(run: Callable, samples: Path, tmp_path: Path) -> None:
    target = tmp_path / "farm.gpkg"
    target.write_bytes(b"mine")
    refused = run("convert", samples / "office", target)
    assert (refused.code, refused.out, len(refused.err.splitlines())) == (4, "", 1)
    foreign = run("convert", samples / "office", target, "--overwrite")
    assert (foreign.code, foreign.out, len(foreign.err.splitlines())) == (4, "", 1)
    assert "was not written by this program" in foreign.err
    assert target.read_bytes() == b"mine"
    target.unlink()
    assert run("convert", samples / "office", target).code == 0
    assert run("convert", samples / "office", target, "--overwrite").code == 0
    assert target.read_bytes()[:6] == b"SQLite"
    assert [path.name for path in tmp_path.iterdir()] == ["farm.gpkg"]


def test_a_target_that_cannot_be_written(run: Callable, samples: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    result = run("convert", samples / "office", tmp_path / "file" / "farm.gpkg")
    assert (result.code, len(result.err.splitlines())) == (4, 1)


@pytest.mark.parametrize("words", [("farm.odt",), ("farm.gpkg", "--to", "odt"), ("farm.gpkg", "--version", "3")])
def test_wrong_usage(run: Callable, samples: Path, tmp_path: Path, words: tuple[str, ...]) -> None:
    result = run("convert", samples / "office", tmp_path / words[0], *words[1:])
    assert (result.code, result.out) == (2, "")
    assert list(tmp_path.iterdir()) == []
