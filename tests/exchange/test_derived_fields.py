"""Fields derived from logs and coverage of simulated drives over fields that are known."""

from __future__ import annotations

from dataclasses import replace

import geopandas
import pytest
import shapely
from geographiclib.geodesic import Geodesic

import taskdata
from taskdata.fieldwork.outlines.derived_fields import with_derived_fields
from taskdata.model.derived import derived_interval
from tests.exchange.test_swath_layers import _frame
from tests.fieldwork.simulated.rows import worked_field
from tests.heavy import some
from tests.samples import SAMPLES


def _size(field):
    total = 0.0
    for area in field.boundaries:
        for sign, rings in ((1.0, area.exteriors), (-1.0, area.interiors)):
            for ring in rings:
                polygon = Geodesic.WGS84.Polygon()
                for lon, lat in ring[:-1]:
                    polygon.AddPoint(lat, lon)
                total += sign * abs(polygon.Compute()[2])
    return total


def _row(path):
    rows = geopandas.read_file(path, layer="fields")
    assert len(rows) == 1
    return rows.iloc[0]


@pytest.mark.parametrize("seed", some(range(30), 3))
@pytest.mark.parametrize("named", [False, True])
def test_a_task_data_set_with_logs_and_no_boundary(tmp_path, seed, named):
    dataset, _, _ = worked_field(seed)
    (field,) = dataset.fields
    truth = _size(field)
    bare = dataset.with_changes(
        lossless=None,
        fields=(replace(field, boundaries=()),) if named else (),
        tasks=tuple(replace(task, connections=(), machines=()) for task in dataset.tasks),
    )
    taskdata.write(bare, tmp_path / "stick", to="isoxml")
    assert taskdata.read(tmp_path / "stick").fields == () or not taskdata.read(tmp_path / "stick").fields[0].boundaries
    done = taskdata.convert(tmp_path / "stick", tmp_path / "out.gpkg", derive_fields=True, verify=True)
    assert [item.rule.id for item in done.findings].count("import.field-derived") == 1
    row = _row(tmp_path / "out.gpkg")
    assert bool(row["derived"])
    assert row["name"] == (field.name if named else "Spritzen")
    assert row["area_low_m2"] <= truth <= row["area_high_m2"] + 2 * 90.0 * 0.3
    assert row["area_low_m2"] < row["area_m2"] < row["area_high_m2"]
    again = taskdata.read(tmp_path / "out.gpkg")
    assert again.tasks[0].field == again.fields[0].id
    assert _size(again.fields[0]) == pytest.approx(row["area_m2"], rel=1e-6)
    (covered,) = taskdata.coverage(again).tasks
    assert covered.areas.field_m2 == pytest.approx(row["area_m2"], rel=1e-6)


@pytest.mark.parametrize("seed", some(range(30), 6))
def test_the_outline_is_near_the_field_that_was_driven(seed):
    """The field reaches up to 0.3 m beyond the outer passes (`rows._field`), which are 60 to 90 m long."""
    dataset, truth, _ = worked_field(seed)
    (field,) = dataset.fields
    found = with_derived_fields(dataset.with_changes(fields=(replace(field, boundaries=()),)))
    low, high = derived_interval(found.fields[0])
    assert low <= truth.worked <= high
    assert low <= _size(field) <= high + 2 * 90.0 * 0.3
    assert _size(found.fields[0]) == pytest.approx(_size(field), rel=0.05)


def test_without_being_asked_no_field_is_derived(tmp_path):
    dataset, _, _ = worked_field(0)
    (field,) = dataset.fields
    bare = dataset.with_changes(lossless=None, fields=(replace(field, boundaries=()),))
    taskdata.write(bare, tmp_path / "stick", to="isoxml")
    assert taskdata.read(tmp_path / "stick").fields[0].boundaries == ()


def test_a_field_with_a_boundary_keeps_it_and_is_not_derived(tmp_path):
    dataset, _, _ = worked_field(0)
    taskdata.write(dataset.with_changes(lossless=None), tmp_path / "stick", to="isoxml")
    taskdata.convert(tmp_path / "stick", tmp_path / "out.gpkg", derive_fields=True)
    row = _row(tmp_path / "out.gpkg")
    assert not row["derived"]
    assert row["area_m2"] == pytest.approx(_size(dataset.fields[0]), rel=1e-6)


def test_a_log_of_an_unknown_implement_takes_half_the_spacing(tmp_path):
    dataset, _, _ = worked_field(1)
    spacing = 11.9
    bare = dataset.with_changes(lossless=None, fields=(), machines=())
    taskdata.write(bare, tmp_path / "stick", to="isoxml")
    found = taskdata.read(tmp_path / "stick", derive_fields=True)
    (told,) = [item.message for item in found.findings if item.rule.id == "import.field-derived"]
    assert "half the spacing" in told
    length, rows = 70.0 + 2 * 14.0, 5
    assert _size(found.fields[0]) == pytest.approx(rows * spacing * length, rel=0.15)


def test_a_recorded_track_of_three_passes():
    """Three passes of 233 m, 6 m apart (samples/_receiver.py)."""
    (field,) = taskdata.read(SAMPLES / "receiver" / "mowing.csv", derive_fields=True).fields
    low, high = derived_interval(field)
    assert low <= 3 * 6.0 * 233.0 <= high
    assert _size(field) == pytest.approx(3 * 6.0 * 233.0, rel=0.03)


@pytest.mark.parametrize("target", ["isoxml", "geojson"])
def test_coverage_of_another_program_gets_an_outline_that_stays_marked(tmp_path, target):
    frame, truth = _frame(switched=0)
    frame.to_file(tmp_path / "cover.gpkg")
    taskdata.convert(tmp_path / "cover.gpkg", tmp_path / "out", to=target, roles={"*": "swath"}, derive_fields=True)
    taskdata.convert(tmp_path / "out", tmp_path / "end.gpkg")
    row = _row(tmp_path / "end.gpkg")
    assert bool(row["derived"])
    assert row["area_low_m2"] <= truth <= row["area_high_m2"]
    assert row["area_m2"] == pytest.approx(truth, rel=0.02)
    again = taskdata.read(tmp_path / "out", derive_fields=True)
    assert [item.rule.id for item in again.findings].count("import.field-derived") == 0
    (covered,) = taskdata.coverage(again).tasks
    assert covered.areas.outside_m2 < 0.005 * truth


def test_joined_slivers_are_written_as_clean_polygons_of_the_same_area(tmp_path):
    frame, truth = _frame()
    frame.to_file(tmp_path / "cover.gpkg")
    taskdata.convert(tmp_path / "cover.gpkg", tmp_path / "out.gpkg", roles={"*": "swath"})
    rows = geopandas.read_file(tmp_path / "out.gpkg", layer="coverage")
    assert set(rows["kind"]) == {"worked"}
    assert len(rows) < 10 < len(frame)
    assert rows.is_valid.all()
    assert rows["area_m2"].sum() == pytest.approx(truth, rel=0.005)
    again = taskdata.read(tmp_path / "out.gpkg")
    assert again.fields == ()


def test_a_layer_of_joined_polygons_is_no_field_in_any_format(tmp_path):
    frame, _ = _frame()
    frame.to_file(tmp_path / "cover.gpkg")
    taskdata.convert(tmp_path / "cover.gpkg", tmp_path / "out", to="shapefile", roles={"*": "swath"})
    (tmp_path / "out" / "taskdata-sidecar.json").unlink(missing_ok=True)
    again = taskdata.read(tmp_path / "out")
    assert again.fields == ()
    assert "import.layer-left-out" in [item.rule.id for item in again.findings]


def test_no_area_is_said_to_be_negative(tmp_path):
    """Passes of two points, whose records lie far apart."""
    lines = [shapely.LineString([(7.0 + n * 1e-4, 54.3), (7.0 + n * 1e-4, 54.304)]) for n in range(20)]
    geopandas.GeoDataFrame({"width_m": [6.5] * 20}, geometry=lines, crs=4326).to_file(tmp_path / "lines.gpkg")
    found = taskdata.read(tmp_path / "lines.gpkg", roles={"*": "swath"}, derive_fields=True)
    (told,) = [item.message for item in found.findings if item.rule.id == "import.field-derived"]
    assert " -" not in told
    low, high = derived_interval(found.fields[0])
    assert low <= _size(found.fields[0]) <= high
