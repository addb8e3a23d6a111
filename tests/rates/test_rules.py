"""Rules of rates: several products, classes, rounding, overlaps, gaps, machines; and layers that are refused."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

import taskdata
from taskdata.errors import SourceError, TaskdataError, UsageError
from taskdata.rates.classes import classed, classing
from tests import samples
from tests.rates.maps import FIELD, STRIPES, stored, write_field, write_layer, write_stripes

HALF = shapely.box(-200, -200, 0, 200)
OTHER = shapely.box(0, -200, 200, 200)
SQUARE = shapely.box(0, 0, 100, 100)
"""A hectare."""


def made(layer: Path, folder: Path, **more: Any) -> taskdata.RateMap:
    """Make a map with the field of these tests."""
    outline = more.pop("boundary", None) or write_field(folder)
    return taskdata.ratemap(layer, folder / "out", **{"unit": "kg/ha", "column": "rate", "boundary": outline} | more)


def one_hectare(folder: Path, rows: list[tuple[Any, dict[str, Any]]], **more: Any) -> taskdata.RateMap:
    """Make a map whose field is a square of 1 ha."""
    layer = write_layer(folder / "map.geojson", rows)
    return made(layer, folder, boundary=write_field(folder, SQUARE), **more)


def by_rate(found: taskdata.RateMap) -> dict[float, int]:
    return {round(item.rate, 6): round(item.area_m2) for item in found.rates}


@pytest.mark.parametrize("version", [3, 4])
def test_zones_hold_a_rate_for_each_product_and_in_version_4_one(tmp_path: Path, version: int) -> None:
    """ISO 11783-10, 6.8.1.2: from version 4 a zone with polygons holds one rate, so zones are doubled."""
    rows = [(HALF, {"lime": 100.0, "seed": 250.0}), (OTHER, {"lime": 100.0, "seed": 300.0})]
    layer = write_layer(tmp_path / "map.geojson", rows)
    found = made(
        layer,
        tmp_path,
        column=["lime", "seed"],
        unit=["kg/ha", "seeds/m²"],
        product=["Kalk", "Weizen"],
        version=version,
    )
    drawn = [(round(shape.area), values) for shape, values in stored(tmp_path / "out").drawn()]
    west, east = round(FIELD.intersection(HALF).area), round(FIELD.intersection(OTHER).area)
    whole = west + east
    lime, thin, dense = ("0006", 10_000), ("000B", 250_000), ("000B", 300_000)
    if version == 3:
        assert [values for _, values in drawn] == [[lime, thin], [lime, dense]]
        assert [size for size, _ in drawn] == pytest.approx([west, east], abs=2)
    else:
        assert [values for _, values in drawn] == [[lime], [thin], [dense]]
        assert [size for size, _ in drawn] == pytest.approx([whole, west, east], abs=2)
    assert [(line.product, line.unit) for line in found.bill] == [("Kalk", "kg"), ("Weizen", "1")]
    assert found.bill[1].after == pytest.approx(250 * west + 300 * east, rel=1e-4)
    assert {item.name for item in taskdata.read(tmp_path / "out").products} == {"Kalk", "Weizen"}
    assert taskdata.check(tmp_path / "out").summary["error"] == 0


def test_two_products_lie_beside_each_other_in_a_grid(tmp_path: Path) -> None:
    rows = [(HALF, {"a": 100.0, "b": None}), (OTHER, {"a": 200.0, "b": 50.0})]
    layer = write_layer(tmp_path / "map.geojson", rows)
    found = made(
        layer, tmp_path, column=["a", "b"], unit=["kg/ha"] * 2, form="grid2", cell_m=50.0, gap_rate=[0.0, 10.0]
    )
    cells, rates = stored(tmp_path / "out").cells()
    inside = [
        (cell, pair)
        for cell, pair in zip(cells, rates, strict=True)
        if FIELD.contains(cell) and not cell.intersects(FIELD.interiors[0])
    ]
    assert {tuple(pair) for cell, pair in inside if HALF.contains(cell)} == {(10_000, 1_000)}
    assert {tuple(pair) for cell, pair in inside if OTHER.contains(cell)} == {(20_000, 5_000)}
    assert all(line.after == pytest.approx(line.before, rel=1e-4) for line in found.bill)


def test_a_nutrient_is_set_by_name_or_number_alone(tmp_path: Path) -> None:
    """ISO 11783-11: DDI 432 is the setpoint of nitrogen."""
    rows = [(SQUARE, {"rate": 60.0})]
    for quantity in ("nitrogen", "432", "0x01B0", "Setpoint Application Rate of Nitrogen"):
        found = one_hectare(tmp_path, rows, quantity=quantity, overwrite=True)
        assert (found.quantities[0].ddi, by_rate(found)) == (432, {60.0: 10_000})
        assert ("chosen-quantity", "Setpoint Application Rate of Nitrogen (DDI 432)") in found.notes
    assert {values[0] for _, values in stored(tmp_path / "out").drawn()} == {("01B0", 6000)}


def test_a_machine_takes_the_rate_where_its_description_says(tmp_path: Path) -> None:
    """The drill of the samples takes DDI 6 in two bins: two products go to one each."""
    field = taskdata.read(samples.OFFICE).field("PFD3")
    ring = field.boundaries[0].exteriors[0].tolist()
    features = [
        {"type": "Feature", "properties": {"a": 160, "b": 90}, "geometry": {"type": "Polygon", "coordinates": [ring]}}
    ]
    layer = tmp_path / "map.geojson"
    layer.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
    wish: dict[str, Any] = {
        "into": samples.OFFICE,
        "field": "PFD3",
        "machine": "DVC3",
        "unit": ["kg/ha"] * 2,
        "column": ["a", "b"],
    }
    found = taskdata.ratemap(layer, tmp_path / "out", form="grid2", product=["PDT1", "PDT2"], **wish)
    zone = taskdata.read(tmp_path / "out").task(found.task).zones[0]
    assert [(item.product, item.part) for item in zone.setpoints] == [("PDT1", "DET304"), ("PDT2", "DET305")]
    assert any(note == "cell" and fact.startswith("3 m wide, the working width") for note, fact in found.notes)
    with pytest.raises(UsageError, match="3 products are set by Setpoint Mass"):
        taskdata.ratemap(layer, tmp_path / "x", **wish | {"unit": ["kg/ha"] * 3, "column": ["a", "b", "a"]})


def test_classes_keep_the_total(tmp_path: Path) -> None:
    rows = [(shapely.box(x, 0, x + 10, 100), {"rate": 100.0 + x if x else 0.0}) for x in range(0, 100, 10)]
    plain = one_hectare(tmp_path, rows, dry_run=True)
    for text, count in (("3", 3), ("equal:4", 4), ("125,155", 3), ("1", 1)):
        found = one_hectare(tmp_path, rows, classes=text, dry_run=True)
        assert found.bill[0].after == pytest.approx(plain.bill[0].after, rel=1e-4)
        assert len(found.rates) == count + 1
        assert found.rates[0].rate == 0.0
        assert found.rates[0].area_m2 == pytest.approx(1000, abs=1)
    low, middle, high = (
        found.rates[1:] if len(found.rates) == 4 else one_hectare(tmp_path, rows, classes="3", dry_run=True).rates[1:]
    )
    assert (low.rate, middle.rate, high.rate) == pytest.approx((120.0, 150.0, 180.0))
    assert low.area_m2 == pytest.approx(high.area_m2, rel=1e-3)


def test_classes_by_hand() -> None:
    """Quantiles by ground, equal steps and bounds of the same rates; a rate at a bound is of the class above."""
    rates, areas = np.array([0.0, 10.0, 20.0, 30.0, 40.0]), np.array([5.0, 1.0, 1.0, 1.0, 3.0])
    assert classed(rates, areas, classing("2")).tolist() == [0.0, 20.0, 20.0, 20.0, 40.0]
    assert classed(rates, areas, classing("equal:3")).tolist() == [0.0, 10.0, 20.0, 37.5, 37.5]
    assert classed(rates, areas, classing("20, 40")).tolist() == [0.0, 10.0, 25.0, 25.0, 40.0]


def test_rounding_is_told_in_the_bill(tmp_path: Path) -> None:
    found = one_hectare(tmp_path, [(SQUARE, {"rate": 106.0})], round_to=25.0, dry_run=True)
    assert by_rate(found) == {100.0: 10_000}
    assert found.bill[0].difference == pytest.approx(-6.0, abs=1e-3)
    assert any(note == "total-changed" for note, _ in found.notes)


def test_what_a_step_of_storage_costs_is_told(tmp_path: Path) -> None:
    """The dictionary stores whole mg/m², 10 g/ha: 14 g/ha become 10."""
    found = one_hectare(tmp_path, [(SQUARE, {"rate": 14.0})], unit="g/ha", accept_rates=True, dry_run=True)
    assert by_rate(found) == {10.0: 10_000}
    assert (found.bill[0].before, found.bill[0].after) == pytest.approx((0.014, 0.010), rel=1e-4)
    assert any(note == "total-changed" for note, _ in found.notes)


def test_overlaps_are_refused_or_decided(tmp_path: Path) -> None:
    rows = [(shapely.box(0, 0, 60, 100), {"rate": 100.0}), (shapely.box(40, 0, 100, 100), {"rate": 200.0})]
    with pytest.raises(UsageError, match=r"rows 1 and 2: two rates hold for the same 20\d\d m²"):
        one_hectare(tmp_path, rows, dry_run=True)
    expected = {
        "first": {100.0: 6000, 200.0: 4000},
        "last": {100.0: 4000, 200.0: 6000},
        "mean": {100.0: 4000, 150.0: 2000, 200.0: 4000},
    }
    for rule, ground in expected.items():
        found = by_rate(one_hectare(tmp_path, rows, overlap=rule, dry_run=True))
        assert found == {rate: pytest.approx(area, abs=1) for rate, area in ground.items()}


def test_the_same_rate_twice_counts_once(tmp_path: Path) -> None:
    rows = [(shapely.box(0, 0, 60, 100), {"rate": 100.0}), (shapely.box(40, 0, 100, 100), {"rate": 100.0})]
    assert one_hectare(tmp_path, rows, dry_run=True).bill[0].after == pytest.approx(100.0, rel=1e-5)


def test_rates_of_gaps_lost_positions_and_outside_are_stored(tmp_path: Path) -> None:
    rows = [(shapely.box(0, 0, 50, 100), {"rate": 100.0}), (shapely.box(50, 0, 100, 50), {"rate": None})]
    rules: dict[str, Any] = {"gap_rate": 40.0, "lost_rate": 30.0, "outside_rate": 20.0}
    found = one_hectare(tmp_path, rows, **rules)
    assert by_rate(found) == {40.0: pytest.approx(5000, abs=1), 100.0: pytest.approx(5000, abs=1)}
    assert found.bill[0].after == pytest.approx(70.0, rel=1e-4)
    task = stored(tmp_path / "out")
    assert [task.values(int(task.task.get(name, "")))[0] for name in "HIJ"] == [4000, 3000, 2000]
    assert ("rows-without-rate", "1") in found.notes
    one_hectare(tmp_path, rows, form="grid2", cell_m=30.0, overwrite=True, **rules)
    cells, rates = stored(tmp_path / "out").cells()
    outside = {raw for cell, (raw,) in zip(cells, rates, strict=True) if cell.intersection(SQUARE).area < 1e-3}
    assert outside <= {2000}


def test_more_rates_than_codes_are_refused_with_the_way_out(tmp_path: Path) -> None:
    rows = [(shapely.box(x * 0.3, 0, (x + 1) * 0.3, 100), {"rate": 100.0 + x}) for x in range(333)]
    with pytest.raises(UsageError, match=r'classes="8"\), round them \(`round_to`\), or choose form="grid2"'):
        one_hectare(tmp_path, rows, dry_run=True)
    assert len(one_hectare(tmp_path, rows, classes="200", dry_run=True).rates) <= 201


@pytest.mark.parametrize(
    ("unit", "rate", "asked"),
    [
        ("kg/ha", 0.9, True),
        ("kg/ha", 15_001, True),
        ("kg/ha", 1, False),
        ("t/ha", 15, False),
        ("t/ha", 150, True),
        ("L/ha", 4.9, True),
        ("m³/ha", 80, False),
        ("seeds/m²", 0.4, True),
        ("seeds/m²", 2000, False),
        ("1/ac", 30_000, False),
        ("lb/ac", 0.5, True),
    ],
)
def test_unusual_rates_are_asked_about(tmp_path: Path, unit: str, rate: float, asked: bool) -> None:
    rows = [(SQUARE, {"rate": rate}), (shapely.box(-50, 0, 0, 100), {"rate": 0.0})]
    if not asked:
        assert one_hectare(tmp_path, rows, unit=unit, dry_run=True).bill[0].after > 0.0
        return
    with pytest.raises(UsageError) as caught:
        one_hectare(tmp_path, rows, unit=unit, dry_run=True)
    assert f"rates from {rate:g} to {rate:g} {unit} are out of the usual" in str(caught.value)
    assert one_hectare(tmp_path, rows, unit=unit, accept_rates=True, dry_run=True).bill[0].after > 0.0


@pytest.mark.parametrize("rule", ["gap_rate", "lost_rate", "outside_rate"])
def test_unusual_rates_for_where_the_map_says_nothing_are_asked_about_too(tmp_path: Path, rule: str) -> None:
    row = [(SQUARE, {"rate": 200.0})]
    with pytest.raises(UsageError, match=rf"{rule.replace('_', ' ')}: rates from 150000 .* out of the usual"):
        one_hectare(tmp_path, row, unit="L/ha", dry_run=True, **{rule: 150_000.0})
    assert one_hectare(tmp_path, row, unit="L/ha", dry_run=True, **{rule: 150.0}).zones
    assert one_hectare(tmp_path, row, unit="L/ha", dry_run=True, accept_rates=True, **{rule: 150_000.0}).zones


def test_the_unit_that_was_meant_is_named(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match=r"common practice is 5 to 80,000 L/ha; in m.* they would be usual"):
        one_hectare(tmp_path, [(SQUARE, {"rate": 0.15})], unit="L/ha")


def test_crossing_rings_missing_shapes_and_slivers_are_told(tmp_path: Path) -> None:
    bow = shapely.Polygon([(0, 0), (100, 100), (100, 0), (0, 100)])
    rows = [
        (bow, {"rate": 100.0}),
        (None, {"rate": 100.0}),
        (shapely.LineString([(0, 0), (9, 9)]).buffer(0.0), {"rate": 5.0}),
    ]
    found = one_hectare(tmp_path, rows)
    assert by_rate(found)[100.0] == pytest.approx(5000, abs=2)
    assert {finding.rule.id for finding in found.written.findings} >= {"import.self-crossing", "import.no-geometry"}


@pytest.mark.parametrize(
    ("rates", "told"),
    [
        ([1, "Infinity"], "is not a number"),
        ([1e999, 1], ""),
        ([-1, 1, -2], "map.geojson, row 1: rate -1 is negative (so is 1 other)"),
        (["1.234,5", "17,0"], None),
        (["1.234", "5.678"], "can be read in two ways"),
        (["1.5", "2,5"], "is not a number"),
        (["12", "viel"], "map.geojson, row 2: rate 'viel' is not a number"),
        ([None, None], "no row has a rate"),
        ([True, False], "column rate holds no numbers"),
        ([1e300, 1], "out of the usual"),
    ],
)
def test_rates_that_are_none_are_refused_with_their_row(tmp_path: Path, rates: list[Any], told: str | None) -> None:
    rows = [(shapely.box(x * 10, 0, x * 10 + 10, 100), {"rate": rate}) for x, rate in enumerate(rates)]
    if told is None:
        assert max(by_rate(one_hectare(tmp_path, rows, dry_run=True))) == 1234.5
        return
    with pytest.raises(TaskdataError) as caught:
        one_hectare(tmp_path, rows, dry_run=True)
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)
    assert caught.value.remedy


def test_a_rate_beyond_the_range_of_its_entry_is_refused(tmp_path: Path) -> None:
    with pytest.raises(
        UsageError, match=r"does not fit the 32 bits of task data\. Give rates up to 2\.14748e\+07 kg/ha"
    ):
        one_hectare(tmp_path, [(SQUARE, {"rate": 1e12})], accept_rates=True, dry_run=True)


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ([], "holds no polygons and no points"),
        ([(shapely.LineString([(0, 0), (9, 9)]), {"rate": 100.0})], "holds no polygons and no points"),
        ([(SQUARE, {"rate": 100.0}), (SQUARE.centroid, {"rate": 100.0})], "holds points and polygons"),
        ([(SQUARE, {"other": 100.0})], "has a column rate. Choose one of: other"),
        (
            [(shapely.box(3000, 0, 3100, 100), {"rate": 100.0})],
            "the map does not lie in the field (it ends 2.9 km away from it)",
        ),
    ],
)
def test_layers_that_hold_no_map_are_refused(tmp_path: Path, rows: list[Any], told: str) -> None:
    with pytest.raises((UsageError, SourceError)) as caught:
        one_hectare(tmp_path, rows, dry_run=True)
    assert told in str(caught.value)


def test_what_is_larger_than_a_field_is_refused(tmp_path: Path) -> None:
    layer = write_layer(tmp_path / "map.geojson", [(shapely.box(0, 0, 60_000, 100), {"rate": 100.0})])
    with pytest.raises(UsageError, match="is 60 km long, and no field is"):
        taskdata.ratemap(layer, tmp_path / "out", unit="kg/ha", column="rate")


def test_cells_that_are_too_many_are_refused_with_a_side_that_fits(tmp_path: Path) -> None:
    """3 km by 3 km in cells of 1 m are 9 million: 6 m make 250,000."""
    layer = write_layer(tmp_path / "map.geojson", [(shapely.box(0, 0, 3000, 3000), {"rate": 100.0})])
    with pytest.raises(
        UsageError, match=r"cells of 1 m make 9,\d\d\d,\d\d\d cells, more than 300,000\. Give cells of 6 m or more"
    ):
        taskdata.ratemap(layer, tmp_path / "out", unit="kg/ha", column="rate", form="grid2", cell_m=1.0)


def test_task_data_is_no_layer_of_rates(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="is task data, not a layer of rates"):
        taskdata.ratemap(samples.OFFICE, tmp_path / "out", unit="kg/ha", column="rate")


def test_a_grid_across_180_degrees_is_refused_and_zones_are_made(tmp_path: Path) -> None:
    def feature(west: float, east: float, rate: float) -> dict[str, Any]:
        ring = [[west, 10.0], [east, 10.0], [east, 10.001], [west, 10.001], [west, 10.0]]
        return {"type": "Feature", "properties": {"rate": rate}, "geometry": {"type": "Polygon", "coordinates": [ring]}}

    layer = tmp_path / "map.geojson"
    features = [feature(179.999, 180.0, 100.0), feature(-180.0, -179.999, 200.0)]
    layer.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
    with pytest.raises(UsageError, match="cannot cross 180 degrees"):
        taskdata.ratemap(layer, tmp_path / "a", unit="kg/ha", column="rate", form="grid2", cell_m=10.0)
    found = taskdata.ratemap(layer, tmp_path / "b", unit="kg/ha", column="rate")
    assert found.rates[0].area_m2 == pytest.approx(found.rates[1].area_m2, rel=1e-3)
    assert taskdata.check(tmp_path / "b").summary["error"] == 0


def test_cells_lie_about_the_first_point_of_the_guidance_line(tmp_path: Path) -> None:
    layer = samples.SAMPLES / "rates" / "spraying.geojson"
    wish: dict[str, Any] = {"into": samples.OFFICE, "field": "PFD1", "column": "l_ha", "unit": "L/ha", "form": "grid2"}
    taskdata.ratemap(layer, tmp_path / "out", machine="DVC2", **wish)
    data = taskdata.read(tmp_path / "out")
    lon, lat = data.field("PFD1").guidance[0].points[0].tolist()
    grid = data.tasks[-1].grid
    assert grid is not None
    for place, start, side in ((lon, grid.min_lon, grid.cell_lon), (lat, grid.min_lat, grid.cell_lat)):
        assert (place - start) / side % 1.0 == pytest.approx(0.5, abs=1e-3)


def test_a_field_without_a_boundary_takes_the_ground_of_the_map(tmp_path: Path) -> None:
    data = taskdata.read(samples.OFFICE)
    bare = data.with_changes(
        fields=tuple(replace(item, boundaries=()) if item.id == "PFD1" else item for item in data.fields)
    )
    taskdata.write(bare, tmp_path / "bare", to="isoxml")
    layer = write_layer(tmp_path / "map.geojson", [(shape, {"rate": rate}) for shape, rate in STRIPES])
    found = taskdata.ratemap(layer, tmp_path / "out", into=tmp_path / "bare", field="PFD1", unit="L/ha", column="rate")
    assert ("field-without-boundary", "PFD1 (Große Breite)") in found.notes
    assert found.bill[0].area_m2 == pytest.approx(sum(shape.area for shape, _ in STRIPES), rel=1e-4)


def test_the_ground_of_the_map_becomes_a_new_field(tmp_path: Path) -> None:
    found = taskdata.ratemap(write_stripes(tmp_path), tmp_path / "out", unit="L/ha", column="rate", field="Deichwiese")
    (field,) = taskdata.read(tmp_path / "out").fields
    assert (field.name, found.field) == ("Deichwiese", "Deichwiese")
    assert ("field-derived", "Deichwiese") in found.notes
    whole = sum(shape.area for shape, _ in STRIPES)
    assert field.declared_area_m2 == pytest.approx(whole, rel=1e-4)


@pytest.mark.parametrize(
    ("source", "field", "version", "zones"), [("older", "PFD4711", 4, 7), ("office", "PFD1", 3, 4)]
)
def test_the_task_is_made_for_the_version_asked_for(
    tmp_path: Path, source: str, field: str, version: int, zones: int
) -> None:
    """Two products: in version 4 a zone for each rate of each, in version 3 zones with both; one for all else."""
    found = taskdata.ratemap(
        samples.SAMPLES / "rates" / "spraying.geojson",
        tmp_path / "out",
        into=samples.SAMPLES / source,
        field=field,
        column=["l_ha", "l_ha"],
        unit=["L/ha", "kg/ha"],
        product=["Wasser", "Kalk"],
        version=version,
    )
    back = taskdata.read(tmp_path / "out")
    assert found.zones == len(back.task(found.task).zones) == zones
    assert back.version is not None
    assert back.version[0] == version
    assert not [loss for loss in found.written.losses if loss.element == found.task and "becomes 2 zones" in loss.what]
    assert found.written.new_errors == ()
    assert taskdata.check(tmp_path / "out").summary["error"] == 0


def test_a_side_of_cells_for_zones_of_polygons_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="zones keep the outlines of the map and have no cells"):
        one_hectare(tmp_path, [(SQUARE, {"rate": 100.0})], cell_m=12.0)


def test_a_product_that_the_set_counts_otherwise_is_told(tmp_path: Path) -> None:
    found = taskdata.ratemap(
        samples.SAMPLES / "rates" / "spraying.geojson",
        tmp_path / "out",
        into=samples.OFFICE,
        field="PFD1",
        column="l_ha",
        unit="kg/ha",
        product="PDT5",
        dry_run=True,
    )
    assert [fact for note, fact in found.notes if note == "counted-otherwise"] == [
        "The set counts Spritzbrühe Kornblick 2 % in another unit than kg/ha"
    ]
