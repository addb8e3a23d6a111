"""``--verify`` finds no difference where there is none: near 180 degrees and the poles, with flat rings and repeats.

Sets are drawn by hypothesis. That nothing is called equal that is not is shown beside it: one place moved by 1e-7
degree, one name, one row, one layer are each found.
"""

from __future__ import annotations

import json
import math
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import taskdata
from taskdata.errors import TargetError
from taskdata.exchange import convert as exchange
from taskdata.formats.edits.proof import unlike
from taskdata.formats.layers.of_dataset import project
from taskdata.formats.read import read as read_layers
from tests.formats.exchange import FORMATS, file_target

TARGETS = {"isoxml": "TASKDATA"} | {form: file_target(Path(form), form).as_posix() for form in FORMATS}
PLACES = [
    (180.0, -17.0),
    (-179.9999, 66.0),
    (179.9995, 0.0),
    (25.0, 89.99),
    (180.0, 89.99),
    (0.0, -89.98),
    (10.0, 54.0),
]
SHAPES = ["round", "flat", "upright", "wall", "repeats", "two places", "spike", "crossing"]
Ring = list[list[float]]


def wrapped(lon: float) -> float:
    return (lon + 180.0) % 360.0 - 180.0


@st.composite
def rings(draw: Callable[..., Any], lon: float, lat: float, radius: float) -> Ring:
    """A closed ring about a place: sound, flat, along the antimeridian, with repeats or spikes, of two places."""
    shape = draw(st.sampled_from(SHAPES))
    turns = sorted(draw(st.lists(st.floats(0.0, 0.999), min_size=3, max_size=7, unique=True)))
    wide = radius / max(math.cos(math.radians(lat)), 1e-3)
    points = []
    for turn in turns:
        east = lon if shape == "upright" else lon + wide * math.cos(2.0 * math.pi * turn)
        north = lat if shape == "flat" else lat + radius * math.sin(2.0 * math.pi * turn)
        if shape == "wall" and abs(wrapped(east)) > 179.999:
            east = 180.0
        points.append([round(wrapped(east), 9), round(min(90.0, max(-90.0, north)), 9)])
    if shape == "repeats":
        points = [point for point in points for _ in range(2)]
    elif shape == "two places":
        points = [*points[:2], points[0]]
    elif shape == "spike":
        points = [*points[:2], points[0], *points[1:]]
    elif shape == "crossing":
        points = [points[0], points[2], points[1], *points[3:]]
    return [*points, points[0]]


@st.composite
def geometries(draw: Callable[..., Any]) -> dict[str, Any]:
    lon, lat = draw(st.sampled_from(PLACES))
    lon = wrapped(lon + draw(st.floats(-0.002, 0.002)))
    ring = rings(lon, lat, 0.002)
    holes = st.lists(rings(lon, lat, 0.0004), max_size=2)
    polygon = st.builds(lambda outer, inner: [outer, *inner], ring, holes)
    other = st.builds(lambda outer: [outer], rings(lon, lat * 0.999, 0.002))
    line = st.builds(lambda points: points[:-1], ring)
    return draw(
        st.one_of(
            st.builds(lambda item: {"type": "Polygon", "coordinates": item}, polygon),
            st.builds(lambda *items: {"type": "MultiPolygon", "coordinates": list(items)}, polygon, other),
            st.builds(lambda item: {"type": "LineString", "coordinates": item}, line),
            st.builds(lambda item: {"type": "Point", "coordinates": item[0]}, ring),
        )
    )


collections = st.lists(geometries(), min_size=1, max_size=3)


def layer_of(shapes: list[dict[str, Any]], folder: Path) -> Path:
    features = [
        {"type": "Feature", "geometry": shape, "properties": {"name": f"Schlag {number}"}}
        for number, shape in enumerate(shapes)
    ]
    path = folder / "in.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
    return path


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=15)
@given(collections, st.sampled_from(list(TARGETS)), st.sampled_from([3, 4]))
def test_what_is_written_is_what_is_read(shapes: list[dict[str, Any]], form: str, version: int) -> None:
    folder = Path(tempfile.mkdtemp())
    try:
        source = layer_of(shapes, folder)
        taskdata.convert(source, folder / "direct" / TARGETS[form], to=form, verify=True)
        taskdata.convert(source, folder / "set", to="isoxml", version=version, verify=True)
        taskdata.convert(folder / "set", folder / "again" / TARGETS[form], to=form, verify=True)
        assert taskdata.compare(folder / "set", folder / "again" / TARGETS[form]).equal
    finally:
        shutil.rmtree(folder)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=15)
@given(collections)
def test_rings_that_no_layer_shows_are_in_the_ledger(shapes: list[dict[str, Any]]) -> None:
    folder = Path(tempfile.mkdtemp())
    try:
        data = taskdata.read(layer_of(shapes, folder))
        result = taskdata.write(data, folder / "x.gpkg", verify=True)
        back = taskdata.read(folder / "x.gpkg")
        before, after = (
            sum(len(area.exteriors) + len(area.interiors) for field in item.fields for area in field.boundaries)
            for item in (data, back)
        )
        told = [loss for loss in result.losses if "ring" in loss.what or "hole" in loss.what]
        if not any(abs(lon) > 170.0 for lon in _longitudes(data)):  # at the antimeridian rings are cut and joined
            assert (before > after) == bool(told)
        kept = (bool(now.boundaries) >= bool(was.boundaries) for now, was in zip(back.fields, data.fields, strict=True))
        assert all(kept) or told
    finally:
        shutil.rmtree(folder)


def _longitudes(data: taskdata.Dataset) -> list[float]:
    return [
        float(lon)
        for field in data.fields
        for area in field.boundaries
        for ring in (*area.exteriors, *area.interiors)
        for lon in ring[:, 0]
    ]


SQUARE = [[179.999, -17.0], [-179.999, -17.0], [-179.999, -16.999], [179.999, -16.999], [179.999, -17.0]]


MOVED = [*SQUARE[:2], [-179.9990001, -16.999], *SQUARE[3:]]
POLYGON = {"type": "Polygon", "coordinates": [SQUARE]}
CHANGES = {
    "geometry of PFD1 in fields differs": ([{"type": "Polygon", "coordinates": [MOVED]}], "Schlag 0"),
    "name of PFD1 in fields is 'Kuhle' instead of 'Schlag 0'": ([POLYGON], "Kuhle"),
    "the layer fields has 2 rows instead of 1": ([POLYGON, POLYGON], "Schlag 0"),
    "the layer points is extra": ([POLYGON, {"type": "Point", "coordinates": [10.0, 54.0]}], "Schlag 0"),
}


@pytest.mark.parametrize("form", [name for name in TARGETS if name != "isoxml"])
@pytest.mark.parametrize("words", CHANGES)
def test_one_thing_that_differs_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, form: str, words: str
) -> None:
    shapes, name = CHANGES[words]
    right, other = (tmp_path / side for side in ("right", "other"))
    for side in (right, other):
        side.mkdir()
    sound = layer_of([POLYGON], right)
    changed = layer_of(shapes, other)
    changed.write_text(changed.read_text(encoding="utf-8").replace("Schlag 0", name), encoding="utf-8")
    wrong = taskdata.read(changed)
    taskdata.convert(sound, tmp_path / "sound" / TARGETS[form], to=form, verify=True)
    put = exchange.write_target
    monkeypatch.setattr(exchange, "write_target", lambda dataset, document, goal, fresh: put(wrong, None, goal, fresh))
    with pytest.raises(TargetError, match="read back differently and was not put in place") as caught:
        taskdata.convert(sound, tmp_path / "out" / TARGETS[form], to=form, verify=True)
    assert words in str(caught.value)
    assert not (tmp_path / "out").exists()


def test_a_layer_or_column_that_is_missing_is_found(tmp_path: Path) -> None:
    data = taskdata.read(layer_of([{"type": "Polygon", "coordinates": [SQUARE]}], tmp_path))
    taskdata.write(data, tmp_path / "gj", to="geojson")
    layers = project(data)
    tables = dict(read_layers(tmp_path / "gj").tables)
    assert list(unlike(layers, tables)) == []
    assert list(unlike(layers, {})) == ["the layer fields is missing"]
    raw = tables["fields"]
    less = type(raw)(raw.name, raw.file, raw.table.drop_columns(["name"]), raw.crs)
    assert list(unlike(layers, {"fields": less})) == ["the column name of fields is missing"]
