"""Layers of other programs through ``check``, ``inspect`` and ``convert``: odd systems, letters and shapes."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from shapely.geometry import LineString, Polygon, box, mapping

import taskdata

BOW = Polygon([(7.0, 54.3), (7.01, 54.31), (7.01, 54.3), (7.0, 54.31)])
PLOT = box(7.1, 54.3, 7.11, 54.31)


def text_of(*shapes: Any, name: str = "Ähre") -> str:
    rows = [{"type": "Feature", "properties": {"name": name}, "geometry": mapping(shape)} for shape in shapes]
    return json.dumps({"type": "FeatureCollection", "features": rows}, ensure_ascii=False)


def found(run: Callable, source: Path, *more: str) -> list[tuple[str, str]]:
    document = json.loads(run("check", source, "--format", "json", *more).out)
    return [(item["rule"], item["message"]) for item in document["findings"]]


@pytest.mark.parametrize(
    ("encoding", "told"),
    [("utf-8", None), ("utf-8-sig", None), ("cp1252", "a guess"), ("utf-16", "first bytes"), ("utf-32", "first bytes")],
)
def test_geojson_in_other_letters_is_read_and_told(
    encoding: str, told: str | None, tmp_path: Path, run: Callable
) -> None:
    source = tmp_path / "plots.json"
    source.write_bytes(text_of(PLOT).encode(encoding))
    assert taskdata.read(source).fields[0].name == "Ähre"
    assert json.loads(run("inspect", source, "--json").out)["items"][0]["rows"] == 1
    rules = found(run, source)
    assert [rule for rule, _ in rules] == ([] if told is None else ["import.not-utf-8"])
    assert told is None or told in rules[0][1]


def test_geojson_that_is_cut_off_is_refused_in_plain_words(tmp_path: Path, run: Callable) -> None:
    source = tmp_path / "plots.geojson"
    source.write_text(text_of(PLOT)[:-40], encoding="utf-8")
    result = run("check", source)
    assert result.code == 3
    assert "it ends too early, at line 1" in result.err


def test_a_polygon_that_crosses_itself_is_told_once_with_its_place(tmp_path: Path, run: Callable) -> None:
    source = tmp_path / "plots.geojson"
    source.write_text(text_of(PLOT, BOW), encoding="utf-8")
    document = json.loads(run("check", source, "--format", "json").out)
    crossing = [item for item in document["findings"] if "crosses itself" in item["message"]]
    assert [item["rule"] for item in crossing] == ["import.self-crossing"]
    assert "row 2 of plots.geojson" in crossing[0]["message"]
    assert crossing[0]["location"] == pytest.approx([7.005, 54.305])
    converted = run("convert", source, tmp_path / "stick", "--to", "isoxml", "--dry-run")
    assert "crosses itself" in converted.out


def test_layers_are_audited_as_the_set_that_they_would_become(tmp_path: Path, run: Callable) -> None:
    """Two outlines on the same ground, and a line far from the field: judged by the rules for task data."""
    source = tmp_path / "plots.geojson"
    source.write_text(text_of(PLOT, PLOT, LineString([(7.1, 54.304), (7.1, 54.30401)])), encoding="utf-8")
    document = json.loads(run("check", source, "--format", "json").out)
    rules = {item["rule"] for item in document["findings"]}
    assert "field.same-ground" in rules
    assert not any(item["file"] == "TASKDATA.XML" for item in document["findings"])
    assert document["version"] is None


def test_a_system_without_effect_is_told(samples: Path, tmp_path: Path, run: Callable) -> None:
    assert run("inspect", samples / "older", "--crs", "nonsense").code == 2
    rules = dict(found(run, samples / "older", "--crs", "EPSG:25832"))
    assert "task data is always in WGS 84" in rules["import.crs-not-applied"]
    source = tmp_path / "plots.geojson"
    source.write_text(text_of(PLOT), encoding="utf-8")
    assert "degrees" in dict(found(run, source, "--crs", "EPSG:25832"))["import.crs-not-applied"]
    named = dict(found(run, samples / "display-shapefiles", "--crs", "EPSG:25833"))
    assert "it states its own" in named["import.crs-not-applied"]
    same = dict(found(run, samples / "display-shapefiles", "--crs", "EPSG:32632"))
    assert "import.crs-not-applied" not in same


def test_inspect_shows_the_layers_whose_system_is_known(samples: Path, run: Callable) -> None:
    shown = run("inspect", samples / "display-shapefiles", "--json")
    assert shown.code == 0
    assert len(json.loads(shown.out)["fields"]) >= 4
    assert run("convert", samples / "display-shapefiles", "x", "--to", "isoxml", "--dry-run").code == 2


def test_odd_properties_and_endless_numbers_are_no_defect(tmp_path: Path, run: Callable) -> None:
    source = tmp_path / "plots.geojson"
    plot = {"type": "Feature", "properties": [1], "geometry": mapping(PLOT)}
    source.write_text(json.dumps(plot), encoding="utf-8")
    assert json.loads(run("inspect", source, "--json").out)["items"][0]["rows"] == 1
    source.write_text('{"type": "Point", "coordinates": [' + "9" * 5000 + ", 1]}", encoding="utf-8")
    result = run("inspect", source)
    assert result.code == 3
    assert "thousands of digits" in result.err
