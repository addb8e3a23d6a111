"""What layers hold of no field, merged into a set whose fields it lies in."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

import taskdata
from taskdata.model.fields import Field
from tests.samples import SAMPLES

OFFICE = taskdata.read(SAMPLES / "office")


def _inside(field: Field) -> tuple[float, float]:
    """A place in a field."""
    place = shapely.Polygon(field.boundaries[0].exteriors[0]).representative_point()
    return place.x, place.y


def _write(path: Path, *rows: tuple[Any, dict[str, Any]]) -> Path:
    features = [{"type": "Feature", "geometry": shape.__geo_interface__, "properties": said} for shape, said in rows]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    return path


def _line(place: tuple[float, float]) -> shapely.LineString:
    return shapely.LineString([place, (place[0] + 0.0003, place[1])])


@pytest.mark.parametrize("turned", [False, True])
def test_lines_go_to_the_field_of_the_set_that_they_lie_in(tmp_path: Path, turned: bool) -> None:
    wanted = {"a": OFFICE.fields[0], "b": OFFICE.fields[3], "c": OFFICE.fields[0]}
    rows = [(_line(_inside(item)), {"name": name, "spacing_m": 6.0}) for name, item in wanted.items()]
    lines = _write(tmp_path / "guidance.geojson", *rows, (_line((9.0, 50.0)), {"name": "far", "spacing_m": 6.0}))
    sources = [SAMPLES / "office", lines]
    taskdata.merge(sources[::-1] if turned else sources, tmp_path / "out", roles={"*.geojson": "guidance"})
    merged = taskdata.read(tmp_path / "out")
    homes = {line.name: field for field in merged.fields for line in field.guidance}
    assert {name: homes[name].id for name in wanted} == {name: item.id for name, item in wanted.items()}
    assert {field.id: field.name for field in OFFICE.fields}.items() <= {f.id: f.name for f in merged.fields}.items()
    assert len(merged.fields) == len(OFFICE.fields) + 1  # that of the line far from all
    assert not homes["far"].boundaries
    assert len(merged.guidance) == len(OFFICE.guidance) + 4


def test_marks_and_obstacles_go_there_too(tmp_path: Path) -> None:
    home = OFFICE.fields[4]
    place = _inside(home)
    stone = shapely.Point(place).buffer(0.00003)
    found = _write(tmp_path / "obstacles.geojson", (stone, {"name": "stone"}), (shapely.Point(place), {"name": "mark"}))
    taskdata.merge([SAMPLES / "office", found], tmp_path / "out")
    merged = taskdata.read(tmp_path / "out")
    assert len(merged.fields) == len(OFFICE.fields)
    after = merged.field(home.id)
    assert "stone" in [area.name for area in after.areas]
    assert "mark" in [point.name for point in after.points]


def test_work_is_compared_with_the_field_of_the_set(tmp_path: Path) -> None:
    home = OFFICE.fields[0]
    lon, lat = _inside(home)
    rows = ["lat,lon,time,width"]
    for number in range(60):
        rows.append(f"{lat},{lon + number * 0.00002:.7f},2025-06-01T08:00:{number:02d},6.0")
    (tmp_path / "log.csv").write_text("\n".join(rows) + "\n")
    taskdata.merge([SAMPLES / "office", tmp_path / "log.csv"], tmp_path / "out")
    merged = taskdata.read(tmp_path / "out")
    (task,) = [item for item in merged.tasks if item.name == "log"]
    assert task.field == home.id
    assert len(merged.fields) == len(OFFICE.fields)
    done = taskdata.coverage(merged, task=task.id).tasks[0]
    assert done.areas.missed_m2 is not None
    assert np.isfinite(done.areas.missed_m2)
