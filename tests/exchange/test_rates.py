"""Rates that a person types into layers, against the integers that the set holds then."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal
from pathlib import Path
from typing import Any

import geopandas
import pandas
import pyogrio
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from taskdata.errors import UsageError
from taskdata.exchange.convert import convert
from taskdata.formats.edits.typed_rates import typed
from taskdata.formats.layers.rates import Stated
from taskdata.ledger import LossKind
from tests import samples
from tests.exchange.layers import layers_of, type_into

GALLON_ON_ACRE = Decimal("9.353956228956")
"""Litres on a hectare (NIST SP 811)."""


def raw_of(stick: Path, task: str = "TSK1", code: str = "2") -> int:
    """Return the raw value of a zone by XML alone."""
    (value,) = etree.parse(stick / "TASKDATA" / "TASKDATA.XML").xpath(f"//TSK[@A='{task}']/TZN[@A='{code}']/PDV/@B")
    return int(value)


def typed_with(folder: Path, driver: str, **values: Any) -> Path:
    """Write the layers of a sample, type values into zone 2 of TSK1 with geopandas, and return the layers."""
    suffix = {"GPKG": ".gpkg", "ESRI Shapefile": "", "FlatGeobuf": ""}[driver]
    names = {"GPKG": "gpkg", "ESRI Shapefile": "shapefile", "FlatGeobuf": "flatgeobuf"}
    place = folder / f"layers{suffix}"
    convert(samples.OFFICE, place, to=names[driver])
    ending = {"ESRI Shapefile": ".shp", "FlatGeobuf": ".fgb"}.get(driver)
    file = place if ending is None else place / f"treatment_zones{ending}"
    frame = geopandas.read_file(file, layer="treatment_zones")
    row = (frame["task"] == "TSK1") & (frame["code"] == 2)
    for name, value in values.items():
        frame.loc[row, name] = value
    if driver == "GPKG":
        pyogrio.write_dataframe(frame, file, layer="treatment_zones", driver=driver)
    else:
        options = {"SPATIAL_INDEX": "NO"} if driver == "FlatGeobuf" else {}
        frame.to_file(file, driver=driver, **options)
    return place


@pytest.mark.parametrize("driver", ["GPKG", "ESRI Shapefile", "FlatGeobuf"])
def test_160_litres_are_160_litres(driver: str, tmp_path: Path) -> None:
    """A step of DDI 1 is 0.01 mm³/m², and 1 L/ha are 100 mm³/m² (ISO 11783-11)."""
    assert raw_of(samples.OFFICE.parent) == 1_500_000
    layers = typed_with(tmp_path, driver, rate=160.0)
    done = convert(layers, tmp_path / "stick", to="isoxml")
    assert raw_of(tmp_path / "stick") == 1_600_000
    assert [loss for loss in done.losses if "rate" in loss.what] == []


def test_a_rate_in_gallons_is_one_in_litres(tmp_path: Path) -> None:
    layers = typed_with(tmp_path, "GPKG", rate=16.0, unit="gal/ac")
    convert(layers, tmp_path / "stick", to="isoxml")
    wanted = (16 * GALLON_ON_ACRE * 10_000).quantize(Decimal(1), ROUND_HALF_EVEN)
    assert raw_of(tmp_path / "stick") == wanted


def test_a_unit_changed_alone_is_told(tmp_path: Path) -> None:
    layers = layers_of(samples.OFFICE, tmp_path)
    type_into(layers, "treatment_zones", 1, unit="mL/ha")
    done = convert(layers, tmp_path / "stick", to="isoxml")
    assert raw_of(tmp_path / "stick") == 1_500
    assert [(loss.kind, loss.what) for loss in done.losses] == [
        (LossKind.CHANGED, "rate 150 mL/ha of row 2 of treatment_zones")
    ]


def test_a_raw_value_changed_alone_is_told_and_does_not_count(tmp_path: Path) -> None:
    layers = layers_of(samples.OFFICE, tmp_path)
    type_into(layers, "treatment_zones", 1, raw_value=150)
    done = convert(layers, tmp_path / "stick", to="isoxml")
    assert raw_of(tmp_path / "stick") == 1_500_000
    assert [(loss.what, loss.why) for loss in done.losses] == [
        ("raw_value 150 of row 2 of treatment_zones", "rate and unit say 150 L/ha, and count; 1500000 is kept")
    ]


def test_a_zone_that_was_split_takes_the_rate_that_was_typed(tmp_path: Path) -> None:
    """A GIS copies every column to the second half, the list of setpoints too."""
    place = tmp_path / "layers.gpkg"
    convert(samples.OFFICE, place, to="gpkg")
    frame = geopandas.read_file(place, layer="treatment_zones")
    half = frame[(frame["task"] == "TSK1") & (frame["code"] == 2)].assign(code=99, rate=175.5)
    pyogrio.write_dataframe(pandas.concat([frame, half]), place, layer="treatment_zones", driver="GPKG")
    convert(place, tmp_path / "stick", to="isoxml")
    assert (raw_of(tmp_path / "stick"), raw_of(tmp_path / "stick", code="99")) == (1_500_000, 1_755_000)


def test_rates_of_cells(tmp_path: Path) -> None:
    """Two 32-bit integers a cell (ISO 11783-10, 8.6.2), of which a step is 1 mg/m²: 0.01 kg/ha."""
    layers = layers_of(samples.OFFICE, tmp_path)
    frame = geopandas.read_file(layers / "grid_cells.geojson")
    row = int(frame.index[(frame["file"] == "GRD00002") & (frame["row"] == 1) & (frame["column"] == 2)][0])
    type_into(layers, "grid_cells", row, rate_1=0.1235, unit_1="t/ha", rate_2=55)
    done = convert(layers, tmp_path / "stick", to="isoxml")
    before, after = (
        (place / "GRD00002.BIN").read_bytes() for place in (samples.OFFICE, tmp_path / "stick" / "TASKDATA")
    )
    columns = int(frame.loc[frame["file"] == "GRD00002", "column"].max()) + 1
    at = 8 * (columns + 2)
    assert after[:at] + after[at + 8 :] == before[:at] + before[at + 8 :]
    assert after[at : at + 8] == (12_350).to_bytes(4, "little") + (5_500).to_bytes(4, "little")
    assert done.losses == ()


@given(st.integers(0, 2**31 - 1), st.sampled_from([1, 6, 11]))
def test_what_is_shown_and_not_touched_keeps_its_integer(raw: int, ddi: int) -> None:
    shown = Stated(ddi, raw / {1: 10_000, 6: 100, 11: 0.1}[ddi], {1: "L/ha", 6: "kg/ha", 11: "1/ha"}[ddi], raw)
    assert typed(shown, shown).raw == raw
    assert typed(shown).raw == raw  # a new row with the same
    assert typed(shown._replace(raw=None)).raw == raw


@given(st.decimals("0", "200000", places=4), st.integers(-5, 5))
def test_a_typed_rate_is_its_decimal_number_in_steps(rate: Decimal, old: int) -> None:
    before = Stated(1, old / 10_000, "L/ha", old)
    found = typed(Stated(1, float(rate), "L/ha", old), before)
    assert (found.raw, found.refused) == (int(rate * 10_000), None)


@given(st.floats(allow_nan=True, allow_infinity=True), st.sampled_from([None, 7]))
def test_every_number_is_stored_within_half_a_step_or_refused(rate: float, raw: int | None) -> None:
    found = typed(Stated(6, rate, "kg/ha", raw), Stated(6, 0.5, "kg/ha", 50))
    if found.refused is not None:
        assert not 0 <= rate <= 21474836.475
        assert found.raw is None
    else:
        assert found.raw is not None
        assert abs(Decimal(repr(rate)) * 100 - found.raw) <= Decimal("0.5")
        assert bool(found.told) == (raw is not None and raw not in (50, found.raw))


def test_a_quantity_without_a_unit_has_a_raw_value_alone(tmp_path: Path) -> None:
    """DDIs from E000 are of manufacturers; the dictionary says nothing of them (ISO 11783-11)."""
    layers = layers_of(samples.OFFICE, tmp_path)
    type_into(layers, "treatment_zones", 1, ddi=0xE123, rate=None, unit=None, raw_value=-12)
    done = convert(layers, tmp_path / "stick", to="isoxml")
    assert raw_of(tmp_path / "stick") == -12
    again = layers_of(tmp_path / "stick", tmp_path / "again")
    row = geopandas.read_file(again / "treatment_zones.geojson").iloc[1]
    assert (row["quantity"], row["raw_value"]) == ("manufacturer's DDI E123", -12)
    assert row[["rate", "unit"]].isna().all()
    assert [loss.what for loss in done.losses] == ["how a value of zone 2 is shown"]


def pdvs(stick: Path, code: str) -> list[tuple[str | None, ...]]:
    """Return DDI, value and part of each value of a zone of TSK1."""
    found = etree.parse(stick / "TASKDATA" / "TASKDATA.XML").xpath(f"//TSK[@A='TSK1']/TZN[@A='{code}']/PDV")
    return [tuple(item.get(name) for name in "ABD") for item in found]


def test_setpoints_are_added_and_removed(tmp_path: Path) -> None:
    layers = layers_of(samples.OFFICE, tmp_path)
    more = '[{"ddi": 1, "rate": 150, "unit": "L/ha"}, {"ddi": 6, "rate": 0.5, "unit": "t/ha", "part": "DET203"}]'
    type_into(layers, "treatment_zones", 1, setpoints=more)
    type_into(layers, "treatment_zones", 2, setpoints="[]")
    done = convert(layers, tmp_path / "stick", to="isoxml")
    assert pdvs(tmp_path / "stick", "2") == [("0001", "1500000", None), ("0006", "50000", "DET203")]
    assert pdvs(tmp_path / "stick", "3") == []
    again = layers_of(tmp_path / "stick", tmp_path / "again")
    type_into(again, "treatment_zones", 2, ddi=1, rate=99.5, unit="L/ha")
    convert(again, tmp_path / "third", to="isoxml")
    assert pdvs(tmp_path / "third", "3") == [("0001", "995000", None)]
    assert done.losses == ()


def test_cells_of_codes_show_the_rate_of_their_zone(tmp_path: Path) -> None:
    """One octet a cell (ISO 11783-10, 8.6.2); the rate is that of the zone with that code."""
    frame = geopandas.read_file(layers_of(samples.OFFICE, tmp_path) / "grid_cells.geojson")
    cells = frame[frame["file"] == "GRD00001"]
    codes = list((samples.OFFICE / "GRD00001.BIN").read_bytes())
    zones = etree.parse(samples.OFFICE / "TASKDATA.XML").xpath("//TSK[GRD/@G='GRD00001']/TZN")
    values = {int(zone.get("A")): int(zone.find("PDV").get("B")) for zone in zones}
    assert cells["raw_value_1"].tolist() == [values[code] for code in codes]
    assert cells["rate_1"].tolist() == pytest.approx([values[code] / 100 for code in codes])  # 0.01 kg/ha a step
    assert set(cells["unit_1"]) == {"kg/ha"}


def test_a_new_code_of_a_cell_is_taken_over_whatever_rate_it_shows(tmp_path: Path) -> None:
    layers = layers_of(samples.OFFICE, tmp_path)
    type_into(layers, "grid_cells", 0, code=2)
    done = convert(layers, tmp_path / "stick", to="isoxml")
    assert (tmp_path / "stick" / "TASKDATA" / "GRD00001.BIN").read_bytes()[0] == 2
    assert done.losses == ()


def test_one_line_tells_of_all_cells_with_the_same_fault(tmp_path: Path) -> None:
    layers = layers_of(samples.OFFICE, tmp_path)
    frame = geopandas.read_file(layers / "grid_cells.geojson")
    rows = frame.index[frame["file"] == "GRD00002"]
    for row in rows[:3]:
        type_into(layers, "grid_cells", int(row), rate_1=-1)
    with pytest.raises(UsageError, match=rf"rate_1 of row {rows[0] + 1} of grid_cells \(and 2 more rows\) is -1"):
        convert(layers, tmp_path / "stick", to="isoxml")
