"""Rates against the map that was meant, by zone: closed forms, and cells laid out by pyproj and clipped by shapely."""

from __future__ import annotations

import dataclasses

import numpy as np
import pyproj
import pytest
import rasterio
import shapely

from taskdata import coverage
from taskdata.fieldwork.applied import zones as applied_zones
from taskdata.model.shapes import Area, AreaKind
from taskdata.model.tasks import Grid, Setpoint, Zone
from tests.fieldwork import build

RAW = 10_000  # raw values of DDI 1 and 2 in one L/ha
SPRAYER = build.sprayer([3000, 4000, 3000])
PLANNED = {1: 200, 2: 150, 3: 100}


def log(rate=200, *, spacing=10.0, wanted=None):
    values = {(2, "DET21"): np.round(np.broadcast_to(rate, 404) * RAW).astype(int)}
    if wanted is not None:
        values[1, "DET21"] = wanted * RAW
    return build.passes(4, spacing, 100.0, values=values)


def ring(low_x, low_y, high_x, high_y) -> Area:
    corners = [(low_x, low_y), (high_x, low_y), (high_x, high_y), (low_x, high_y)]
    return Area(AreaKind.TREATMENT_ZONE, (build.degrees(corners),))


def zone(code, *areas, rate=None, product=None, part=None, ddi=1) -> Zone:
    value = (PLANNED[code] if rate is None else rate) * RAW
    return Zone(code, areas=areas, setpoints=(Setpoint(ddi, value, product, part),))


def figures(*zones, logs=None, fields=(), **task):
    (found,) = coverage(build.dataset(logs or [log()], [SPRAYER], fields, zones=zones, **task)).tasks
    return found.zones


def test_each_zone_has_its_ground_its_rates_and_the_share_that_was_near() -> None:
    rate = np.tile(np.concatenate([np.full(50, 208.0), np.full(51, 185.0)]), 4)
    rate[101:202] = rate[101:202][::-1]
    rate[303:] = rate[303:][::-1]
    south, north = figures(
        zone(1, ring(-5.0, -9.0, 35.0, 50.0)), zone(2, ring(-5.0, 50.0, 35.0, 109.0), rate=200), logs=[log(rate)]
    )
    assert (south.code, south.ddi, north.code) == (1, 2, 2)
    assert [south.area_m2, north.area_m2] == pytest.approx([2000.0, 2000.0], rel=2e-3)
    assert [south.meant / 100.0, north.meant / 100.0] == pytest.approx([200.0, 200.0])
    assert south.applied / 100.0 == pytest.approx(208.0, rel=3e-3)
    assert north.applied / 100.0 == pytest.approx(185.0, rel=3e-3)
    assert south.difference == pytest.approx(south.applied - south.meant)
    assert [south.within_5, south.within_10] == pytest.approx([1.0, 1.0], abs=0.03)
    assert [north.within_5, north.within_10] == pytest.approx([0.0, 1.0], abs=0.03)


def test_what_was_sprayed_twice_counts_as_twice_the_rate_on_ground_that_counts_once() -> None:
    (found,) = figures(zone(1, ring(-50.0, -9.0, 50.0, 109.0)), logs=[log(spacing=8.0)])
    assert found.area_m2 == pytest.approx(3400.0, rel=2e-3)
    assert found.applied / 100.0 == pytest.approx(200.0 * 4000.0 / 3400.0, rel=2e-3)
    assert found.within_10 == pytest.approx(1.0 - 600.0 / 3400.0, abs=2e-3)


def test_ground_without_a_zone_is_of_the_default_inside_and_of_its_own_zone_outside_the_field() -> None:
    field = build.field([(-5.0, 0.0), (35.0, 0.0), (35.0, 80.0), (-5.0, 80.0)])
    zones = (zone(1, ring(-5.0, -9.0, 35.0, 50.0)), zone(2), zone(3, rate=0))
    found = figures(*zones, fields=[field], default_zone=2, out_of_field_zone=3)
    assert [item.code for item in found] == [1, 2, 3]
    assert [item.area_m2 for item in found] == pytest.approx([2000.0, 1200.0, 800.0], rel=3e-3)
    assert [item.meant / 100.0 for item in found] == pytest.approx([200.0, 150.0, 0.0])
    assert found[2].within_10 == 0.0
    assert [item.code for item in figures(*zones, fields=[field])] == [1]


def cells(kind, values, **more) -> Grid:
    """A grid of 20 m cells, a few of them, from a corner of the work on."""
    west, south = build.degrees([(-5.0, 0.0)])[0]
    east, north = build.degrees([(15.0, 20.0)])[0]
    found = np.asarray(values)
    size = found.shape[1], found.shape[0]
    return Grid("GRD00001", kind, south, west, north - south, east - west, *size, lambda: found, **more)


def clipped(grid) -> np.ndarray:
    """The ground of each cell that was swept, by a plane of equal distances and shapely."""
    plane = pyproj.Transformer.from_crs(
        "EPSG:4326", f"+proj=aeqd +lat_0={build.LAT} +lon_0={build.LON} +ellps=WGS84", always_xy=True
    )
    column, row = np.meshgrid(np.arange(grid.columns), np.arange(grid.rows))
    west, south = grid.min_lon + column * grid.cell_lon, grid.min_lat + row * grid.cell_lat
    boxes = shapely.box(west, south, west + grid.cell_lon, south + grid.cell_lat)
    placed = shapely.transform(boxes, lambda lonlat: np.column_stack(plane.transform(*lonlat.T)))
    return shapely.area(shapely.intersection(placed, shapely.box(-5.0, 0.0, 35.0, 100.0)))


def test_a_grid_of_codes_is_read_cell_by_cell() -> None:
    grid = cells(1, np.array([[1, 2], [2, 1], [9, 2], [1, 1]], dtype=np.uint8))
    found = figures(zone(1), zone(2), grid=grid)
    ground = clipped(grid)
    codes = np.asarray(grid.cells)
    assert [item.code for item in found] == [1, 2]
    for item in found:
        assert item.area_m2 == pytest.approx(ground[codes == item.code].sum(), rel=3e-3)
        assert item.meant / 100.0 == pytest.approx(PLANNED[item.code])
        assert item.applied / 100.0 == pytest.approx(200.0)


def test_a_grid_of_values_has_a_row_for_each_rate_or_one_with_their_mean(monkeypatch) -> None:
    rates = np.array([[100, 200], [300, 200], [100, 100], [200, 300]])
    raw = np.stack([np.zeros_like(rates), rates * RAW], axis=2).astype(np.int32)
    setpoints = (Setpoint(6, 0, "PDT2"), Setpoint(1, 0, "PDT1"))
    grid = cells(2, raw, template=4, setpoints=setpoints)
    ground, logs = clipped(grid), [log(210)]
    found = figures(Zone(4, setpoints=setpoints), grid=grid, logs=logs)
    assert [(item.code, item.product, item.meant / 100.0) for item in found] == [
        (4, "PDT1", pytest.approx(rate)) for rate in (100, 200, 300)
    ]
    assert [item.area_m2 for item in found] == pytest.approx(
        [ground[rates == rate].sum() for rate in (100, 200, 300)], rel=3e-3
    )
    assert [item.within_5 for item in found] == [0.0, 1.0, 0.0]
    monkeypatch.setattr(applied_zones, "MOST_RATES", 8)
    many = 200 + np.arange(16).reshape(8, 2)
    grid = cells(2, (many * RAW)[..., np.newaxis].astype(np.int32), template=4, setpoints=setpoints[1:])
    (one,) = figures(Zone(4, setpoints=setpoints[1:]), grid=grid, logs=logs)
    ground = clipped(grid)
    assert one.meant / 100.0 == pytest.approx(float((ground * many).sum() / ground.sum()), rel=1e-4)
    near = np.abs(many - 210.0) <= 0.05 * many
    assert one.within_5 == pytest.approx(float(ground[near].sum() / ground.sum()), abs=2e-3)


def test_zones_of_another_product_part_or_quantity_are_not_meant() -> None:
    whole = ring(-50.0, -9.0, 50.0, 109.0)
    others = (zone(1, whole, rate=50, part="DET99"), zone(2, whole, rate=60, ddi=6), Zone(5, areas=(whole,)))
    assert figures(*others, zone(3, whole, product="PDT1", part="DET21"))[0].code == 1
    tank = dataclasses.replace(SPRAYER, parts=(*SPRAYER.parts, build.part("DET99", 2, 50, 1)))
    dataset = build.dataset([log()], [tank], zones=(*others, zone(3, whole, product="PDT1", part="DET21")))
    (found,) = coverage(dataset).tasks
    assert [(item.code, item.meant / 100.0) for item in found.zones] == [(3, pytest.approx(100.0))]
    assert figures(*others[1:]) == ()


def test_a_map_of_another_quantity_than_the_log_holds_is_told() -> None:
    whole = ring(-50.0, -9.0, 50.0, 109.0)
    rule = "coverage.map-not-compared"
    (found,) = coverage(build.dataset([log()], [SPRAYER], zones=(zone(1, whole, ddi=6),))).tasks
    (note,) = (note for note in found.notes if note.rule.id == rule)
    assert note.facts["what"] == "Setpoint Mass Per Area Application Rate"
    assert note.facts["others"] == "Actual Volume Per Area Application Rate"
    for zones in ((zone(1, whole),), (zone(1, ddi=6),), ()):
        (found,) = coverage(build.dataset([log()], [SPRAYER], zones=zones)).tasks
        assert rule not in {note.rule.id for note in found.notes}


def test_a_grid_whose_cells_cannot_be_placed_counts_for_nothing() -> None:
    sound = cells(1, np.ones((2, 2), dtype=np.uint8))
    for change in ({"cell_lat": 0.0}, {"cell_lon": float("nan")}, {"rows": 3}):
        assert figures(zone(1), grid=dataclasses.replace(sound, **change)) == ()


def test_without_a_map_or_a_rate_there_is_nothing_to_compare() -> None:
    assert figures() == ()
    assert figures(zone(1)) == ()
    whole = zone(1, ring(-50.0, -9.0, 50.0, 109.0))
    assert figures(whole, logs=[build.passes(2, 10.0, 50.0)]) == ()
    unread = cells(1, np.zeros((2, 2), dtype=np.uint8))
    assert figures(zone(1), grid=dataclasses.replace(unread, read=lambda: None)) == ()


def test_the_raster_aims_at_the_map_where_the_log_holds_no_setpoint(tmp_path) -> None:
    whole = zone(2, ring(-50.0, -9.0, 50.0, 109.0))
    for number, (wanted, target) in enumerate(((None, 150.0), (210, 210.0))):
        dataset = build.dataset([log(wanted=wanted)], [SPRAYER], zones=(whole,))
        coverage(dataset, raster=tmp_path / f"{number}.tif", cell_m=10.0)
        with rasterio.open(tmp_path / f"{number}.tif") as file:
            found = file.read(3)
        assert found[np.isfinite(found)] == pytest.approx(target)
