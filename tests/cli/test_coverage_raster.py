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
        *(
            (("--task", "TSK1", "--raster", "a.tif", "--cell", cell), 2, f"a cell cannot have {cell} m")
            for cell in ("0", "-5", "nan", "inf", "0.001", "1000")
        ),
        (("--task", "TSK1", "--measured", "speed", "--cell", "-5"), 2, "a cell cannot have -5 m"),
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


def test_zones_of_the_contract_are_those_of_the_rate_map(run: Callable) -> None:
    document = json.loads(run("coverage", SAMPLES / "machine", "--task", "TSK1", "--json").out)
    (task,) = document["tasks"]
    keys = {"code", "area_m2", "meant", "applied", "difference", "within_5", "within_10", "unit"}
    assert all(set(zone) == keys | {"ddi", "product"} for zone in task["zones"])
    assert [(zone["code"], zone["meant"], zone["unit"]) for zone in task["zones"]] == [
        (1, pytest.approx(200.0), "L/ha"),
        (2, pytest.approx(150.0), "L/ha"),
        (3, pytest.approx(240.0), "L/ha"),
        (10, 0.0, "L/ha"),
    ]
    assert sum(zone["area_m2"] for zone in task["zones"]) == pytest.approx(task["worked_area_m2"], rel=1e-3)
    amount = sum(zone["area_m2"] * zone["applied"] for zone in task["zones"]) / 1e4
    assert amount == pytest.approx(task["rates"][0]["applied"], rel=1e-3)
    for zone in task["zones"]:
        assert zone["difference"] == pytest.approx(zone["applied"] - zone["meant"])
        assert 0.0 <= zone["within_5"] <= zone["within_10"] <= 1.0
    shown = " ".join(run("coverage", SAMPLES / "machine", "--task", "TSK1", "--units", "us", "--quiet").out.split())
    assert "Zone 2, PDT5, 5.01 ac: meant 16.04 gal/ac" in shown
