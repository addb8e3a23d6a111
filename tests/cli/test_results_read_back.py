"""Layers of results are known as such, and are never read as fields, coverage or logs."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from shapely import box, to_geojson

import taskdata


@pytest.fixture(scope="module")
def drive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two passes of 6 m, as polygons of 10 m of another program."""
    rows = []
    for count in range(40):
        row, along = divmod(count, 20)
        west, south = 7.0 + along * 0.00015, 54.3 + row * 0.0000539
        stamp = f"2025-06-01T08:00:{count:02d}"
        geometry = json.loads(to_geojson(box(west, south, west + 0.00015, south + 0.0000539)))
        rows.append({"type": "Feature", "properties": {"time": stamp, "width": 6.0}, "geometry": geometry})
    path = tmp_path_factory.mktemp("drive") / "worked.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": rows}))
    return path


FORMATS = ["geojson", "gpkg", "shapefile", "flatgeobuf", "parquet", "csv", "kml"]


@pytest.mark.parametrize("to", FORMATS)
def test_results_are_left_aside(run: Callable[..., Any], drive: Path, tmp_path: Path, to: str) -> None:
    _left_aside(run, tmp_path, to, drive)


@pytest.mark.parametrize("to", ["csv", "shapefile"])
def test_measured_values_are_no_log(run: Callable[..., Any], harvest: Path, tmp_path: Path, to: str) -> None:
    _left_aside(run, tmp_path / "back", to, harvest, "--measured", "yield")


def _left_aside(run: Callable[..., Any], folder: Path, to: str, *given: object) -> None:
    folder.mkdir(exist_ok=True)
    target = folder / ("out.gpkg" if to == "gpkg" else "out")
    done = run("coverage", *given, "--output", target, "--to", to)
    assert target.exists(), done.err
    again = taskdata.read(target)
    assert (again.fields, again.tasks, again.machines) == ((), (), ())
    left = [item for item in again.findings if item.rule.id == "import.layer-left-out"]
    assert left
    assert all("computed anew" in item.message for item in left)


def test_a_survey_knows_results_under_any_name(run: Callable[..., Any], drive: Path, tmp_path: Path) -> None:
    run("coverage", drive, "--output", tmp_path / "out", "--to", "geojson")
    (tmp_path / "out" / "coverage.geojson").rename(tmp_path / "Kamp.geojson")
    (item,) = json.loads(run("inspect", tmp_path / "Kamp.geojson", "--json").out)["items"]
    assert (item["kind"], item["confidence"]) == ("other", 1.0)
    assert "computed" in item["why"]


def test_results_are_read_as_what_a_person_says(run: Callable[..., Any], drive: Path, tmp_path: Path) -> None:
    run("coverage", drive, "--output", tmp_path / "out", "--to", "geojson")
    found = taskdata.read(tmp_path / "out" / "coverage.geojson", roles={"*": "area"})
    assert sum(len(field.areas) for field in found.fields) > 0
