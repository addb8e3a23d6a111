"""``taskdata coverage --measured``: what it shows in text and JSON."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import rasterio

from tests.samples import SAMPLES


def test_a_yield_is_shown_with_what_was_left_out_and_the_counter(run: Callable, harvest: Path, tmp_path: Path) -> None:
    words = ("coverage", harvest, "--measured", "yield", "--moisture", "14", "--quiet")
    shown = " ".join(run(*words, "--delay", "-2").out.split())
    assert "Mass Per Area Yield (DET201), at 14 % moisture: mean" in shown
    assert "Left out: " in shown
    assert "No delay was given" not in shown
    assert "Total of the cleaned map (10 m cells):" in shown
    assert "the machine counted" in shown
    assert "Give the delay with --delay" in " ".join(run(*words).out.split())
    document = json.loads(run(*words, "--raster", tmp_path / "y.tif", "--json").out)
    found = document["tasks"][0]["measured"]
    assert found["kept"] + sum(rule["count"] for rule in found["left_out"]) == found["records"]
    assert {rule["rule"] for rule in found["left_out"]} >= {"stop", "turn", "overlap", "impossible speed"}
    assert found["total"] == pytest.approx(found["total_as_logged"] * (1 - 0.18) / (1 - 0.14), rel=1e-6)
    with rasterio.open(tmp_path / "y.tif") as file:
        assert file.units == ("t/ha", "1")
        assert np.nansum(file.read(2)) == found["kept"]
        assert file.descriptions[0] == "mean: Mass Per Area Yield at 14 % moisture"
    assert document["raster"]["bands"][0] == {
        "description": "mean: Mass Per Area Yield at 14 % moisture",
        "unit": "t/ha",
        "total": None,
        "total_unit": None,
    }


def test_a_quantity_that_was_not_measured_is_told_with_those_that_were(run: Callable) -> None:
    result = run("coverage", SAMPLES / "machine", "--measured", "protein", "--quiet")
    assert (result.code, result.out) == (2, "")
    assert "Logs hold: Actual Mass Per Area Application Rate" in result.err


def test_a_quantity_that_only_the_tractor_logged_is_not_offered_again(run: Callable) -> None:
    """The error named it among those to choose, and those of tasks that were not chosen."""
    result = run("coverage", SAMPLES / "machine", "--task", "TSK1", "--measured", "Actual Speed", "--quiet")
    assert (result.code, result.out) == (2, "")
    assert "Actual Speed: was logged, but not by a part that swept ground" in result.err
    assert result.err.rstrip().endswith("Actual Volume Per Area Application Rate, Actual Working Width")
