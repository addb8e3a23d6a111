"""``taskdata coverage --raster``: what it says, and what it refuses."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.samples import SAMPLES


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A working folder with a file in it that is somebody else's."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "taken.tif").write_bytes(b"mine")
    return tmp_path


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("--raster", "a.xyz"), 2, "End it in .tif or .tiff"),
        (("--raster", "a.tif"), 2, "a raster shows one task, and there are 3"),
        (("--task", "TSK1", "--raster", "a.tif", "--cell", "0.01"), 2, "larger --cell"),
        (("--task", "TSK1", "--raster", "taken.tif"), 4, "exists already"),
    ],
)
def test_what_cannot_be_is_told_in_a_line(
    run: Callable, folder: Path, words: tuple[str, ...], code: int, says: str
) -> None:
    result = run("coverage", SAMPLES / "machine", *words, "--quiet")
    assert (result.code, result.out) == (code, "")
    assert says in result.err
    assert sorted(item.name for item in folder.iterdir()) == ["taken.tif"]
    assert (folder / "taken.tif").read_bytes() == b"mine"


def test_the_command_tells_what_it_wrote(run: Callable, tmp_path: Path) -> None:
    words = ("coverage", SAMPLES / "machine", "--task", "TSK1", "--raster", tmp_path / "a.tif", "--quiet")
    shown = " ".join(run(*words).out.split())
    assert "Band 1: applied: Actual Volume Per Area Application Rate" in shown
    assert "the product label and local rules come first" in shown
    document = json.loads(run(*words, "--overwrite", "--json").out)
    assert document["raster"]["cell_m"] == 5.0
    assert document["raster"]["bands"][0]["total"] == pytest.approx(document["tasks"][0]["rates"][0]["applied"])
