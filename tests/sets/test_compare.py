"""What ``compare`` says of known changes, and that it says nothing of a set against itself."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import HealthCheck, given, settings

from taskdata import api
from taskdata.model.dataset import Dataset
from taskdata.model.shapes import Coordinates
from taskdata.reports.compare_json import compare_document
from taskdata.reports.compare_text import compare_text
from taskdata.sets.moves import common_shift, move
from tests import samples
from tests.generate import FileSetContent, file_sets


def edited(tmp_path: Path, pattern: str, by: str, count: int = 1, sample: Path = samples.OFFICE) -> Path:
    folder = samples.copy(sample, tmp_path / "edited")
    path = folder / "TASKDATA.XML"
    text, times = re.subn(pattern, by, path.read_text(encoding="utf-8"), count=count)
    assert times >= 1
    path.write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize("sample", [*samples.SOUND, samples.BROKEN], ids=lambda path: path.parent.name)
def test_a_set_equals_itself(sample: Path) -> None:
    assert api.compare(sample, sample).equal


@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(content=file_sets(small=True))
def test_any_set_equals_itself(content: FileSetContent, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = content.write(tmp_path_factory.mktemp("set") / "TASKDATA")
    assert list(api.compare(folder, folder).differences) == []


def test_a_changed_name_is_one_difference(tmp_path: Path) -> None:
    result = api.compare(samples.OFFICE, edited(tmp_path, 'B="Hof Ahrenbrook"', 'B="Hof Neubrook"'))
    (item,) = result.differences
    assert (item.kind, item.a, item.before, item.after) == ("changed", "FRM1", "Hof Ahrenbrook", "Hof Neubrook")


def test_a_renumbered_thing_is_known_by_its_name_and_its_references_follow(tmp_path: Path) -> None:
    result = api.compare(samples.OLDER, edited(tmp_path, r"\"CTR41\"", '"CTR77"', count=0, sample=samples.OLDER))
    assert {(item.kind, item.before, item.after) for item in result.differences} == {("changed", "CTR41", "CTR77")}
    assert len(result.differences) == 1


def test_a_machine_may_not_change_what_it_was_given(tmp_path: Path) -> None:
    returned = edited(tmp_path, 'B="Hof Ahrenbrook"', 'B="Hof X"', sample=samples.MACHINE)
    blamed = [item for item in api.compare(samples.OFFICE, returned).differences if "machine changed" in item.what]
    assert [item.a for item in blamed] == ["FRM1"]
    assert not [item for item in api.compare(samples.OFFICE, samples.MACHINE).differences if "machine" in item.what]


def shifted(points: Coordinates, azimuth: float, metres: float) -> Coordinates:
    """Move points by geodesics of the independent implementation (geographiclib)."""
    there = [Geodesic.WGS84.Direct(lat, lon, azimuth, metres) for lon, lat in points]
    return np.array([(item["lon2"], item["lat2"]) for item in there])


def moved(dataset: Dataset, azimuth: float, metres: float) -> Dataset:
    fields = []
    for item in dataset.fields:
        areas = tuple(
            replace(area, exteriors=tuple(shifted(ring, azimuth, metres) for ring in area.exteriors), interiors=())
            for area in item.boundaries
        )
        fields.append(replace(item, boundaries=areas, areas=(), groups=(), points=(), lines=()))
    return dataset.with_changes(fields=tuple(fields), tasks=())


def test_a_shift_of_all_outlines_is_found_and_named_a_datum_difference(tmp_path: Path) -> None:
    whole = api.read(samples.OFFICE)
    still, away = moved(whole, 90.0, 0.0), moved(whole, 90.0, 1.3)
    api.write(still, tmp_path / "a", to="isoxml")
    api.write(away, tmp_path / "b", to="isoxml")
    result = api.compare(tmp_path / "a", tmp_path / "b")
    assert result.common_shift is not None
    assert result.common_shift.east_m == pytest.approx(1.3, abs=0.002)
    assert result.common_shift.north_m == pytest.approx(0.0, abs=0.002)
    assert result.common_shift.share == 1.0
    assert all(item.distance_m == pytest.approx(1.3, abs=0.01) for item in result.differences if item.distance_m)
    assert api.compare(tmp_path / "a", tmp_path / "b", tolerance_m=1.4).equal
    assert "datum" in "\n".join(line.text for line in compare_text(result))


def test_a_move_along_and_across() -> None:
    line = np.array([[7.0, 54.0], [7.0, 54.01]])  # due north: along is north, right is east
    way = move(line, shifted(shifted(line, 0.0, 3.0), 90.0, 0.5))
    assert (way.along_m, way.across_m) == (pytest.approx(3.0, abs=1e-3), pytest.approx(0.5, abs=1e-3))
    assert way.turned_deg == pytest.approx(0.0, abs=1e-4)
    assert way.distance_m == pytest.approx(np.hypot(3.0, 0.5), abs=1e-3)


def test_a_common_shift_along_all_lines_is_not_invented() -> None:
    lines = [np.array([[7.0 + k * 0.001, 54.0], [7.0 + k * 0.001, 54.01]]) for k in range(5)]
    found = common_shift([(line, shifted(line, 90.0, 0.4)) for line in lines])
    assert found is None or found.north_m is None


def test_json_holds_what_the_contract_names() -> None:
    document = compare_document(api.compare(samples.OFFICE, samples.MACHINE))
    assert set(document) == {"equal", "common_shift", "differences"}
    assert all(
        set(item) == {"kind", "a", "b", "what", "before", "after", "distance_m"} for item in document["differences"]
    )
