"""What each section applied: its ground, rate, product and time, by closed forms, geographiclib and shapely."""

from __future__ import annotations

import geopandas
import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from taskdata import coverage
from taskdata.model.tasks import Setpoint, Zone
from tests.fieldwork import build
from tests.samples import SAMPLES

SPRAYER = build.sprayer([2000, 3000, 2000])
WIDTHS = (2.0, 3.0, 2.0)
LITRE_A_HECTARE = 10_000  # raw values of DDI 1 and 2 by L/ha: 0.1 mm³ on a square millimetre, in steps of 0.01


def size(shape) -> float:
    """The area of polygons in degrees by geographiclib (C. F. F. Karney, J. Geodesy 87, 2013)."""
    total = 0.0
    for part in shapely.get_parts(shape):
        ring = Geodesic.WGS84.Polygon()
        for lon, lat in shapely.get_coordinates(part)[:-1]:
            ring.AddPoint(lat, lon)
        total += abs(ring.Compute()[2])
    return total


def runs_of(values, *, count=2, length=100.0, **task):
    dataset = build.dataset([build.passes(count, 7.0, length, values=values)], [SPRAYER], **task)
    (found,) = coverage(dataset).tasks
    return found, found.runs


def test_a_section_has_a_run_for_each_pass_with_its_ground_rate_and_time() -> None:
    values = {(2, "DET21"): 200 * LITRE_A_HECTARE, (1, "DET21"): 210 * LITRE_A_HECTARE}
    found, (runs,) = runs_of(values)
    assert (runs.ddi, runs.part, runs.log, runs.product) == (2, "DET21", "TLG00001", None)
    assert [runs.sections[place][0] for place in runs.section] == ["DET22"] * 2 + ["DET23"] * 2 + ["DET24"] * 2
    expected = np.repeat(WIDTHS, 2) * 100.0
    assert runs.area_m2 == pytest.approx(expected, rel=1e-4)
    assert [size(shape) for shape in runs.ground] == pytest.approx(expected, rel=1e-4)
    assert runs.rate == pytest.approx(200.0 * 100.0)  # mm³/m²
    assert runs.target == pytest.approx(210.0 * 100.0)
    seconds = (runs.begin - build.START) / np.timedelta64(1, "s")
    assert seconds.tolist() == [0.0, 131.0] * 3
    assert ((runs.end - runs.begin) / np.timedelta64(1, "s")).tolist() == [100.0] * 6
    assert found.rates[0].applied == pytest.approx(float((runs.rate * runs.area_m2).sum()))


def test_a_run_ends_where_the_rate_leaves_it_by_a_fiftieth_or_the_target_changes() -> None:
    steps = np.arange(202)
    near = 200.0 + 3.9 * (steps % 2)
    rate = np.where(steps < 40, near, np.where(steps < 101, 100.0, 50.0))
    wanted = {0: 200 * LITRE_A_HECTARE, 70: 190 * LITRE_A_HECTARE}
    values = {(2, "DET21"): np.round(rate * LITRE_A_HECTARE).astype(int), (1, "DET21"): wanted}
    _, (runs,) = runs_of(values)
    first = runs.section == 0
    assert runs.area_m2[first] == pytest.approx(np.array([40.0, 30.0, 30.0, 100.0]) * 2.0, rel=1e-3)
    assert runs.rate[first] / 100.0 == pytest.approx([near[:40].mean(), 100.0, 100.0, 50.0])
    assert runs.target[first] / 100.0 == pytest.approx([200.0, 200.0, 190.0, 190.0])
    metres = np.array([*np.ones(100), 0.0, *np.ones(100), 0.0])
    assert float((runs.rate * runs.area_m2).sum()) == pytest.approx(float((rate * metres).sum()) * 700.0, rel=1e-4)


def test_a_section_that_is_off_for_a_while_has_two_runs_and_one_that_stands_has_one() -> None:
    way = np.concatenate([build.straight(40.0), np.repeat([[0.0, 40.0]], 30, axis=0), build.straight(40.0, start=40.0)])
    states = np.ones((len(way), 3), dtype=int)
    states[20:30, 1] = 0
    values = {(161, "DET21"): [build.condensed(row) for row in states.tolist()], (2, "DET21"): 100 * LITRE_A_HECTARE}
    (found,) = coverage(build.dataset([build.log(way, values)], [SPRAYER])).tasks
    (runs,) = found.runs
    assert runs.section.tolist() == [0, 1, 1, 2]
    assert runs.area_m2 == pytest.approx([160.0, 60.0, 150.0, 160.0], rel=1e-3)


def test_runs_of_a_ring_that_closes_cover_what_was_worked() -> None:
    angle = np.radians(np.arange(0.0, 800.0, 4.0))
    way = 12.0 * np.column_stack([np.sin(angle), np.cos(angle)])
    log = build.log(way, {(141, "DET21"): 1, (2, "DET21"): 100 * LITRE_A_HECTARE})
    (found,) = coverage(build.dataset([log], [SPRAYER])).tasks
    (runs,) = found.runs
    assert shapely.is_valid(runs.ground).all()
    assert len(runs.ground) == 3
    assert size(shapely.union_all(runs.ground[runs.section == 1])) < runs.area_m2[1] / 2.0
    assert runs.area_m2.sum() == pytest.approx(found.areas.applied_m2, rel=1e-6)
    outer, inner = 15.5, 8.5
    covered = sum(size(shapely.Polygon(part.exterior)) for part in shapely.get_parts(shapely.union_all(runs.ground)))
    assert covered == pytest.approx(np.pi * outer**2, rel=2e-3)
    assert found.areas.worked_m2 == pytest.approx(np.pi * (outer**2 - inner**2), rel=2e-3)


def beside_180(metres) -> np.ndarray:
    found = build.degrees(metres, lon=180.0)
    found[found[:, 0] > 180.0, 0] -= 360.0
    return found


def test_runs_across_180_degrees_are_cut_there() -> None:
    log = build.log(
        np.column_stack([np.arange(-20.0, 21.0), np.zeros(41)]),
        {(141, "DET21"): 1},
        place=beside_180,
    )
    (found,) = coverage(build.dataset([log], [SPRAYER])).tasks
    (runs,) = found.runs
    assert [len(shape.geoms) for shape in runs.ground] == [2, 2, 2]
    assert shapely.is_valid(runs.ground).all()
    assert [size(shape) for shape in runs.ground] == pytest.approx(np.array(WIDTHS) * 40.0, rel=1e-4)


def test_the_product_is_that_of_the_setpoint_for_the_part_or_the_only_one() -> None:
    values = {(2, "DET21"): 200 * LITRE_A_HECTARE}
    planned = Zone(1, setpoints=(Setpoint(1, 0, "PDT1", "DET20"), Setpoint(6, 0, "PDT2", "DET20")))
    assert [runs.product for runs in runs_of(values, zones=(planned,), products=("PDT1", "PDT2"))[1]] == ["PDT1"]
    assert [runs.product for runs in runs_of(values, products=("PDT3",))[1]] == ["PDT3"]
    assert [runs.product for runs in runs_of(values, products=("PDT3", "PDT4"))[1]] == [None]


def test_work_without_a_rate_has_runs_too() -> None:
    _, (runs,) = runs_of({})
    assert (runs.ddi, runs.part) == (None, None)
    assert np.isnan(runs.rate).all()
    assert runs.area_m2.sum() == pytest.approx(1400.0, rel=1e-4)


def test_the_layer_is_read_back_by_geopandas(tmp_path) -> None:
    source = SAMPLES / "machine"
    (found,) = coverage(source, task="TSK1", output=tmp_path / "out.gpkg").tasks
    layer = geopandas.read_file(tmp_path / "out.gpkg", layer="applied")
    assert layer.crs.to_epsg() == 4326
    assert layer.geometry.is_valid.all()
    assert set(layer["unit"]) == {"L/ha"}
    assert set(layer["product_name"]) == {"Spritzbrühe Kornblick 2 %"}
    assert (layer["time_from"] < layer["time_to"]).all()
    assert layer["amount"].sum() == pytest.approx(found.rates[0].applied / 1e6, rel=1e-9)
    assert (layer["rate"] * layer["area_m2"] / 1e4).sum() == pytest.approx(layer["amount"].sum(), rel=1e-9)
    assert "coverage" in set(geopandas.list_layers(tmp_path / "out.gpkg")["name"])


@pytest.mark.parametrize("form", ["shapefile", "geojson", "flatgeobuf", "parquet", "csv", "kml"])
def test_every_format_for_areas_takes_the_layer(tmp_path, form) -> None:
    values = {(2, "DET21"): 200 * LITRE_A_HECTARE}
    dataset = build.dataset([build.passes(2, 7.0, 100.0, values=values)], [SPRAYER])
    done = coverage(dataset, output=tmp_path / "out", to=form).written
    assert done.written["runs"] == 6
    suffix = {"shapefile": "shp", "flatgeobuf": "fgb"}.get(form, form)
    file = tmp_path / "out" / f"applied.{suffix}"
    if form == "parquet":
        assert len(geopandas.read_parquet(file)) == 6
    elif form != "csv":
        found = geopandas.read_file(file)
        assert size(found.geometry.union_all()) == pytest.approx(1400.0, rel=1e-4)


def test_a_file_of_one_layer_holds_the_coverage_and_says_what_it_leaves_out(tmp_path) -> None:
    done = coverage(SAMPLES / "machine", task="TSK3", output=tmp_path / "out.geojson").written
    assert set(geopandas.read_file(tmp_path / "out.geojson")["kind"]) >= {"worked"}
    assert [loss.what for loss in done.losses] == ["layer applied"]
