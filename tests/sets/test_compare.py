"""What ``compare`` says of known changes, and that it says nothing of a set against itself."""

from __future__ import annotations

import json
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import HealthCheck, given, settings

from taskdata import api
from taskdata.errors import UsageError
from taskdata.model.dataset import Dataset
from taskdata.model.shapes import Coordinates
from taskdata.reports.compare_json import compare_document
from taskdata.reports.compare_text import compare_text
from taskdata.sets.common_shift import common_shift
from taskdata.sets.moves import move
from tests import samples
from tests.documents import READING
from tests.generate import FileSetContent, file_sets
from tests.heavy import examples


def edited(tmp_path: Path, pattern: str, by: str, count: int = 1, sample: Path = samples.OFFICE) -> Path:
    folder = samples.copy(sample, tmp_path / "edited")
    path = folder / "TASKDATA.XML"
    text, times = re.subn(pattern, by, path.read_text(encoding="utf-8"), count=count, flags=re.DOTALL)
    assert times >= 1
    path.write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize("sample", [*samples.SOUND, samples.BROKEN], ids=lambda path: path.parent.name)
def test_a_set_equals_itself(sample: Path) -> None:
    assert api.compare(sample, sample).equal


@settings(max_examples=examples(8), suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
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


def blamed(before: Path, after: Path) -> set[tuple[str, str | None]]:
    """Return kind and identifier of what ``compare`` says that the machine had no leave to change."""
    return {(item.kind, item.a) for item in api.compare(before, after).differences if "machine changed" in item.what}


def test_a_machine_may_not_change_what_it_was_given(tmp_path: Path) -> None:
    """Coding data of the office stay as they are on the machine, which may only add (8.4, 8.5; R-045)."""
    renamed = edited(tmp_path / "name", 'B="Hof Ahrenbrook"', 'B="Hof X"', sample=samples.MACHINE)
    assert blamed(samples.OFFICE, renamed) == {("changed", "FRM1")}
    removed = edited(tmp_path / "gone", r'<WKR A="WKR2"[^>]*/>', "", sample=samples.MACHINE)
    assert blamed(samples.OFFICE, removed) == {("removed", "WKR2")}
    place, other = r'C="54.300000000" D="7.000000000"', 'C="54.300000000" D="7.000010000"'
    corner = edited(tmp_path / "edge", place, other, 9, samples.MACHINE)
    assert ("moved", "PLN1") in blamed(samples.OFFICE, corner)
    assert not blamed(renamed, samples.OFFICE)  # the office may


def test_a_machine_may_do_its_work_and_add(tmp_path: Path) -> None:
    """What is no coding data, tasks above all, may be edited on the machine (8.4; R-046)."""
    assert not blamed(samples.OFFICE, samples.MACHINE)
    kinds = {item.what.split()[0] for item in api.compare(samples.OFFICE, samples.MACHINE).differences}
    assert {"TaskStatus", "Time", "TimeLog", "Partfield", "Worker"} <= kinds
    rate = edited(tmp_path, r'(<TZN A="1".*?<PDV A="0001" B=)"\d+"', r'\1"12345"', sample=samples.MACHINE)
    assert not blamed(samples.OFFICE, rate)
    assert any(item.after == "12345" for item in api.compare(samples.OFFICE, rate).differences)


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
    assert set(document) == {"equal", "common_shift", "differences", *READING}
    assert all(
        set(item) == {"kind", "a", "b", "what", "before", "after", "distance_m"} for item in document["differences"]
    )


def named_fields(folder: Path, fields: list[tuple[str, str, float]]) -> Path:
    """Write a set of square fields of one hectare: identifier, name, longitude of the south-west corner."""
    rows = []
    for identifier, name, lon in fields:
        corners = [(54.3, lon), (54.3, lon + 0.0015), (54.301, lon + 0.0015), (54.301, lon), (54.3, lon)]
        points = "".join(f'<PNT A="2" C="{lat:.9f}" D="{east:.9f}"/>' for lat, east in corners)
        ring = f'<PLN A="1"><LSG A="1">{points}</LSG></PLN>'
        rows.append(f'<PFD A="{identifier}" C="{name}" D="10000">{ring}</PFD>')
    folder.mkdir(parents=True)
    root = '<ISO11783_TaskData VersionMajor="4" VersionMinor="3" ManagementSoftwareManufacturer="Hof" \
ManagementSoftwareVersion="1" DataTransferOrigin="1">'
    text = f'<?xml version="1.0" encoding="UTF-8"?>\n{root}{"".join(rows)}</ISO11783_TaskData>'
    (folder / "TASKDATA.XML").write_text(text, encoding="utf-8")
    return folder


def test_fields_of_one_name_are_told_by_their_ground(tmp_path: Path) -> None:
    sent = [("PFD1", "Acker", 7.0), ("PFD2", "Acker", 7.01), ("PFD3", "Acker", 7.02)]
    turned = [("PFD3", "Acker", 7.0), ("PFD1", "Acker", 7.01), ("PFD2", "Acker", 7.02)]
    result = api.compare(named_fields(tmp_path / "a", sent), named_fields(tmp_path / "b", turned))
    assert [(item.a, item.b, item.aspect) for item in result.differences] == [
        ("PFD1", "PFD3", "renumbered"),
        ("PFD2", "PFD1", "renumbered"),
        ("PFD3", "PFD2", "renumbered"),
    ]


def test_fields_with_nothing_in_common_are_not_paired_by_their_number(tmp_path: Path) -> None:
    here = named_fields(tmp_path / "a", [("PFD1", "Koppel", 7.0), ("PFD2", "Kamp", 7.01)])
    there = named_fields(tmp_path / "b", [("PFD1", "Bruch", 8.0), ("PFD2", "Moor", 8.01)])
    result = api.compare(here, there)
    assert sorted((str(item.kind), item.a or item.b) for item in result.differences) == [
        ("added", "PFD1"),
        ("added", "PFD2"),
        ("removed", "PFD1"),
        ("removed", "PFD2"),
    ]


@pytest.mark.parametrize("tolerance", [-0.1, float("nan"), float("inf")])
def test_a_tolerance_that_is_none_is_refused(tolerance: float) -> None:
    with pytest.raises(UsageError, match="tolerance"):
        api.compare(samples.OFFICE, samples.OFFICE, tolerance_m=tolerance)


@settings(max_examples=examples(6), suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(one=file_sets(small=True), two=file_sets(small=True))
def test_the_other_way_round_the_report_is_the_mirror(
    one: FileSetContent, two: FileSetContent, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("sets")
    first, second = one.write(folder / "one" / "TASKDATA"), two.write(folder / "two" / "TASKDATA")
    there, back = api.compare(first, second), api.compare(second, first)
    swapped = {"added": "removed", "removed": "added"}
    kinds = Counter(swapped.get(item.kind, str(item.kind)) for item in there.differences)
    assert kinds == Counter(str(item.kind) for item in back.differences)
    json.dumps(compare_document(there), allow_nan=False)


@settings(max_examples=3, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(content=file_sets(small=True))
@pytest.mark.parametrize("target", ["set.gpkg", "set.zip"])
def test_a_set_equals_what_it_is_converted_to(
    content: FileSetContent, target: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("set")
    source = content.write(folder / "TASKDATA")
    api.convert(source, folder / target)
    assert list(api.compare(source, folder / target).differences) == []
