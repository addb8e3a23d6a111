"""Measured quantities: each rule by a log made to break it, maps read back by rasterio, totals by closed forms."""

from __future__ import annotations

import geopandas
import numpy as np
import pyproj
import pytest
import rasterio
import shapely

from taskdata import UsageError, coverage
from taskdata.fieldwork.measured.moisture import at_moisture
from taskdata.fieldwork.measured.rules import limit
from tests.fieldwork import build

HEADER = build.sprayer([6000])
T_HA = 100_000  # raw values of DDI 84 (mg/m²) in one t/ha
PART = "DET21"


def measured(logs, quantity="yield", **more):
    """What is measured in the only task of a set."""
    (found,) = coverage(build.dataset(logs, [HEADER]), measured=quantity, **more).tasks
    return found.measured


def harvest(way, tons=8.0, *, seconds=None, **values):
    """A log of a header at work all the way; further values by names such as ``ddi99``."""
    others = {(int(name.removeprefix("ddi")), PART): value for name, value in values.items()}
    found = {(141, PART): 1, (84, PART): np.round(np.broadcast_to(tons, len(way)) * T_HA).astype(int)}
    return build.log(way, found | others, seconds=seconds)


def left_out(found) -> dict[str, int]:
    return {item.rule: item.count for item in found.left_out if item.count}


def test_sound_records_are_all_kept() -> None:
    found = measured([harvest(build.straight(100.0, 2.0))])
    assert (found.records, found.kept, left_out(found)) == (50, 50, {})
    assert found.mean / 1e5 == pytest.approx(8.0)
    assert found.area_m2 == pytest.approx(600.0, rel=1e-4)
    assert found.total / 1e9 == pytest.approx(8.0 * 0.06, rel=1e-4)
    assert found.logged_total is None


def test_records_of_stops_and_of_impossible_speed_are_left_out() -> None:
    first = build.straight(40.0, 2.0)
    stand = np.repeat(first[-1:], 15, axis=0)
    creep = build.straight(4.0, 0.4, start=40.0)[1:]
    jump = build.straight(75.0, 15.0, start=44.0)[1:]
    found = measured([harvest(np.concatenate([first, stand, creep, jump]))])
    assert left_out(found) == {"stop": 15 + 10, "impossible speed": 5}
    assert found.kept == 20


def test_records_of_a_turn_are_left_out() -> None:
    """A half circle of 8 m radius turns 72 degrees in 10 m, far more than the limit; straight on nothing does."""
    angle = np.radians(np.linspace(0.0, 180.0, 14))[1:]
    turn = np.column_stack([8.0 - 8.0 * np.cos(angle), 60.0 + 8.0 * np.sin(angle)])
    way = np.concatenate([build.straight(60.0, 2.0), turn, build.straight(58.0, 2.0, x=16.0, back=True)])
    found = measured([harvest(way)])
    assert set(left_out(found)) == {"turn"}
    assert left_out(found)["turn"] == pytest.approx(13 + 2, abs=3)
    bend = 100.0 * np.column_stack([1.0 - np.cos(np.arange(0.0, 1.5, 0.02)), np.sin(np.arange(0.0, 1.5, 0.02))])
    assert left_out(measured([harvest(bend)])) == {}


def test_records_on_ground_that_was_worked_before_are_left_out() -> None:
    log = build.passes(2, 2.0, 100.0, step=2.0, values={(84, PART): 8 * T_HA})
    found = measured([log])
    assert left_out(found) == {"overlap": 50}
    near = measured([build.passes(2, 4.0, 100.0, step=2.0, values={(84, PART): 8 * T_HA})])
    assert left_out(near) == {}


def test_records_without_a_value_held_ones_and_impossible_values_are_left_out() -> None:
    way = build.straight(100.0, 2.0)
    tons = np.full(51, 8.0)
    tons[30:33] = [-1.0, 350.0, 8.0]
    held = np.zeros(51, dtype=int)
    held[40:45] = 1
    found = measured([harvest(way, tons, ddi239=held)])
    assert left_out(found) == {"impossible value": 2, "held": 5}
    values = {(141, PART): 1, (84, PART): {10: 8 * T_HA}}
    assert left_out(measured([build.log(way, values)])) == {"no value": 10}


def test_each_record_counts_once_and_with_those_kept_all_are_counted() -> None:
    way = np.concatenate([build.straight(40.0, 2.0), np.repeat([[0.0, 40.0]], 5, axis=0)])
    found = measured([harvest(way, -1.0)])
    assert left_out(found) == {"impossible value": found.records}
    assert (found.kept, found.mean, found.total) == (0, None, None)


def test_the_delay_moves_the_measured_quantity_and_not_the_header() -> None:
    way = build.straight(200.0, 2.0)
    north = way[:, 1]
    true = np.where(north < 100.0, 6.0, 9.0)
    late = np.concatenate([np.full(12, 6.0), true[:-12]])
    found = measured([harvest(way, late)], delay_s=-12.0)
    middle = found.quads.mean(axis=1)[:, 1]
    middle += 100.0  # the plane lies about the middle of the track
    assert found.kept == 100
    assert found.value / 1e5 == pytest.approx(np.where(middle < 100.0, 6.0, 9.0))
    plain = measured([harvest(way, late)])
    assert (np.abs(plain.value / 1e5 - np.where(middle < 100.0, 6.0, 9.0)) > 1.0).sum() == 12


def test_a_map_is_given_back_cell_by_cell_with_the_number_of_records(tmp_path) -> None:
    ways = [build.straight(120.0, 2.0, x=6.0 * number, back=number % 2 == 1) for number in range(5)]
    seconds = np.concatenate([np.arange(61) + 200.0 * number for number in range(5)])
    random = np.random.default_rng(2)
    tons = [random.uniform(5.0, 9.0, 61) for _ in ways]
    on = np.tile(np.append(np.ones(60, dtype=int), 0), 5)
    values = {(141, PART): on, (84, PART): np.round(np.concatenate(tons) * T_HA).astype(int)}
    log = build.log(np.concatenate(ways), values, seconds=seconds)
    found = coverage(build.dataset([log], [HEADER]), measured="yield", raster=tmp_path / "a.tif", cell_m=6.0)
    with rasterio.open(tmp_path / "a.tif") as file:
        (mean, records), crs, transform = file.read(), file.crs, file.transform
        assert file.units == ("t/ha", "1")
        assert file.tags(1)["left_out_turn"] == "0"
        assert [text.partition(":")[0] for text in file.descriptions] == ["mean", "records"]
    assert found.tasks[0].measured.kept == 300
    assert np.nansum(records) == 300
    shared, middles = clipped(ways, crs, transform, mean.shape)
    values = np.concatenate([row[:60] for row in tons])
    ground = shared.sum(axis=2)
    met = ground > 0.01
    assert (np.isfinite(mean) >= met).all()
    assert mean[met] == pytest.approx((shared @ values)[met] / ground[met], rel=1e-3)
    assert np.abs(np.nan_to_num(records) - middles).sum() <= 6  # a middle may lie on a line of the grid


def clipped(ways, crs, transform, shape) -> tuple[np.ndarray, np.ndarray]:
    """The ground in each cell of each record of straight passes, by shapely, and how many middles lie in the cell."""
    rows, columns = np.indices(shape)
    west, north = transform.c + transform.a * columns, transform.f + transform.e * rows
    boxes = shapely.box(west, north + transform.e, west + transform.a, north)
    swept = []
    for way in ways:
        low, high = np.minimum(way[:-1], way[1:]), np.maximum(way[:-1], way[1:])
        swept.append(shapely.box(low[:, 0] - 3.0, low[:, 1], high[:, 0] + 3.0, high[:, 1]))
    to_crs = pyproj.Transformer.from_crs("EPSG:4326", crs.to_wkt(), always_xy=True)
    placed = shapely.transform(
        np.concatenate(swept), lambda metres: np.column_stack(to_crs.transform(*build.degrees(metres).T))
    )
    inside = shapely.contains(boxes[..., np.newaxis], shapely.centroid(placed))
    return shapely.area(shapely.intersection(boxes[..., np.newaxis], placed)), inside.sum(axis=2)


def test_standard_moisture_keeps_the_dry_matter() -> None:
    """Shrinkage by Duval's formula: from 20 to 14 % a grain loses (20 - 14) / (100 - 14) of its mass, 6.98 %."""
    assert at_moisture(100.0, 0.20, 0.14) == pytest.approx(100.0 * (1.0 - 0.06 / 0.86))
    assert at_moisture(100.0, 0.20, 0.14) == pytest.approx(93.02, abs=0.005)
    way = build.straight(100.0, 2.0)
    wet = np.where(np.arange(51) < 25, 200_000, 160_000)
    found = measured([harvest(way, 8.0, ddi99=wet)], moisture=14.0)
    dry = 8.0 * (25 * 0.80 + 25 * 0.84) / 50 / 0.86
    assert found.mean / 1e5 == pytest.approx(dry)
    assert found.moisture == pytest.approx(0.18)
    assert found.total / 1e9 == pytest.approx(dry * 0.06, rel=1e-4)
    assert found.total_as_logged / 1e9 == pytest.approx(8.0 * 0.06, rel=1e-4)


def test_the_total_of_the_cleaned_map_is_nearer_to_the_counter_than_all_records() -> None:
    """Half of every second pass lies on stubble: the flow halves, so that the yield by the full width does too."""
    ways = [build.straight(200.0, 2.0, x=x, back=number % 2 == 1) for number, x in enumerate((0.0, 6.0, 8.0, 14.0))]
    seconds = np.concatenate([np.arange(101) + 300.0 * number for number in range(4)])
    tons = np.concatenate([np.full(101, 8.0), np.full(101, 8.0), np.full(101, 8.0 / 3.0), np.full(101, 8.0)])
    on = np.tile(np.append(np.ones(100, dtype=int), 0), 4)
    grown = np.concatenate([[0.0], np.cumsum((tons * on)[:-1] * 12.0 / 10.0)])
    values = {(141, PART): on, (84, PART): np.round(tons * T_HA).astype(int), (90, PART): np.round(grown).astype(int)}
    found = measured([build.log(np.concatenate(ways), values, seconds=seconds)])
    true = 8000.0 * 20.0 * 200.0 / 1e4
    assert left_out(found) == {"overlap": 100}
    assert found.logged_total / 1e6 == pytest.approx(true, rel=2e-3)
    assert found.total / 1e6 == pytest.approx(true, rel=2e-3)
    assert found.mean / 1e5 == pytest.approx(8.0)


def test_a_yield_by_time_is_spread_over_the_ground_swept() -> None:
    way = build.straight(100.0, 2.0)
    flow = round(8.0 * 100.0 * 2.0 * 6.0 * 1000.0)  # mg/s: 8 t/ha, 0.8 kg/m² on 12 m² a second
    log = build.log(way, {(141, PART): 1, (87, PART): flow * 10})
    found = measured([log])
    assert (found.ddi, found.shown_ddi) == (87, 84)
    assert found.mean / 1e5 == pytest.approx(80.0, rel=1e-4)


def test_parts_beside_each_other_are_added_and_one_over_both_counts_once() -> None:
    drill = build.sprayer([3000, 3000])
    way = build.straight(100.0, 2.0)
    values = {(141, PART): 1, (84, "DET22"): 6 * T_HA, (84, "DET23"): 8 * T_HA, (84, PART): 9 * T_HA}
    (task,) = coverage(build.dataset([build.log(way, values)], [drill]), measured="yield").tasks
    assert (task.measured.records, task.measured.kept) == (100, 100)
    assert task.measured.mean / 1e5 == pytest.approx(7.0)
    assert task.measured.area_m2 == pytest.approx(600.0, rel=1e-4)


@pytest.mark.parametrize("form", ["gpkg", "shapefile", "geojson", "parquet", "csv", "kml"])
def test_each_record_is_a_row_with_the_rule_that_left_it_out(tmp_path, form) -> None:
    first = build.straight(40.0, 2.0)
    way = np.concatenate([first, np.repeat(first[-1:], 5, axis=0)])
    dataset = build.dataset([harvest(way, 8.0, ddi99=180_000)], [HEADER])
    target = tmp_path / ("out.gpkg" if form == "gpkg" else "out")
    done = coverage(dataset, measured="yield", moisture=14.0, output=target, to=form)
    found = done.tasks[0].measured
    assert done.written.written["measured records"] == found.records == 25
    if form == "parquet":
        rows = geopandas.read_parquet(target / "measured.parquet")
    elif form == "gpkg":
        rows = geopandas.read_file(target, layer="measured")
    elif form in {"shapefile", "geojson"}:
        rows = geopandas.read_file(target / f"measured.{'shp' if form == 'shapefile' else form}")
    else:
        return
    assert len(rows) == 25
    stood = rows["left_out"] == "stop"
    assert stood.sum() == 5
    assert rows[~stood]["left_out"].isna().all()
    assert rows[~stood]["value"].to_numpy() == pytest.approx(8.0 * 0.82 / 0.86)
    assert rows[~stood]["moisture"].to_numpy() == pytest.approx(18.0)
    assert rows[~stood].to_crs("EPSG:32632").area.to_numpy() == pytest.approx(12.0, rel=2e-3)


def test_what_a_sensor_saw_has_a_mean_and_no_total() -> None:
    way = build.straight(100.0, 2.0)
    found = measured([harvest(way, 8.0, ddi99=150_000)], "Crop Moisture")
    assert (found.ddi, found.total, found.logged_total) == (99, None, None)
    assert found.mean == pytest.approx(150_000)


@pytest.mark.parametrize(
    ("quantity", "more", "says"),
    [
        ("protein", {}, "is no measured quantity of these tasks.*Crop Moisture, Mass Per Area Yield"),
        ("Crop", {}, None),
        ("yield", {"moisture": 120.0}, "moisture cannot be 120 %"),
        ("0063", {"moisture": 14.0}, "no mass of crop"),
        ("yield", {"cell_m": -1.0}, "cell cannot have"),
        ("yield", {"delay_s": 1e4}, "delay cannot be"),
        (None, {"moisture": 14.0}, "Name the quantity with `measured`"),
    ],
)
def test_what_cannot_be_is_refused(quantity, more, says) -> None:
    log = harvest(build.straight(20.0, 2.0), 8.0, ddi99=150_000)
    if says is None:
        assert measured([log], quantity, **more).ddi == 99
        return
    with pytest.raises(UsageError, match=says):
        measured([log], quantity, **more)


def test_several_quantities_that_fit_are_named_and_no_moisture_is_told() -> None:
    way = build.straight(20.0, 2.0)
    with pytest.raises(UsageError, match=r"several measured quantities.*Volume Per Area Yield \(0053\)"):
        measured([harvest(way, 8.0, ddi83=1)])
    with pytest.raises(UsageError, match="no moisture was logged"):
        measured([harvest(way)], moisture=14.0)
    with pytest.raises(UsageError, match="dry mass"):
        measured([build.log(way, {(141, PART): 1, (181, PART): 8 * T_HA, (99, PART): 150_000})], moisture=14.0)


def test_limits_are_facts_with_reasons() -> None:
    assert limit("slowest") < limit("fastest")
    assert 0.0 < limit("overlap") < 1.0
