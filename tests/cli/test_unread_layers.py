"""A layer of a GIS source that cannot be read, or not whole, is named by every command, and the exit code is 1."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.formats.raw_layers import SQUARE, by_gdal, geopackage, wkb


@pytest.fixture
def source(tmp_path: Path) -> Path:
    """A sound layer, one of which nothing can be read, and one of which the last row is missing."""
    folder = tmp_path / "layers"
    folder.mkdir()
    square = wkb("Polygon", [SQUARE])
    by_gdal(folder / "sound.fgb", square)
    (folder / "broken.fgb").write_bytes(b"fgb\x03fgb\x01 and then nothing more")
    cut = by_gdal(folder / "cut.fgb", square, square)
    cut.write_bytes(cut.read_bytes()[:-10])
    return folder


@pytest.mark.parametrize("command", ["inspect", "convert", "clean", "merge"])
def test_commands_name_it_and_end_with_one(run: Callable, source: Path, tmp_path: Path, command: str) -> None:
    words = [command, source] if command == "inspect" else [command, source, tmp_path / "out", "--to", "isoxml"]
    result = run(*words, "--json")
    document = json.loads(result.out)
    assert result.code == 1
    assert [(item["file"], item["what"]) for item in document["unread"]] == [
        ("broken.fgb", "layer"),
        ("cut.fgb", "layer"),
    ]
    assert document["unread"][1]["why"] == "says that it holds 2 rows, and 1 can be read"
    text = " ".join(run(*words, *(() if command == "inspect" else ("--overwrite",))).out.split())
    assert "Could not be read in full (2 files):" in text
    assert "cut.fgb (layer) says that it holds 2 rows, and 1 can be read." in text


def test_a_database_that_is_damaged_within(run: Callable, tmp_path: Path) -> None:
    path = geopackage(tmp_path / "plots.gpkg", *(wkb("Polygon", [SQUARE]) for _ in range(400)))
    content = bytearray(path.read_bytes())
    content[-3 * 4096 : -2 * 4096] = bytes(4096)
    path.write_bytes(content)
    result = run("inspect", path, "--json")
    assert result.code == 1
    assert [item["file"] for item in json.loads(result.out)["unread"]] == ["plots.gpkg"]
