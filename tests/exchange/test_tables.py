"""Layers as Arrow tables and GeoDataFrames, and back, beside computations of their own."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import geopandas
import numpy as np
import pyarrow as pa
import pyproj
import pytest
import shapely
from lxml import etree

import taskdata
from tests import samples

LAYERS = (
    "fields",
    "areas",
    "lines",
    "guidance_lines",
    "points",
    "treatment_zones",
    "grid_cells",
    "log_records",
)


@pytest.fixture(scope="module")
def machine() -> taskdata.Dataset:
    return taskdata.read(samples.MACHINE)


@pytest.fixture(scope="module")
def office() -> taskdata.Dataset:
    return taskdata.read(samples.OFFICE)


@pytest.mark.parametrize("layer", LAYERS)
def test_geometry_says_what_it_is(layer: str, machine: taskdata.Dataset) -> None:
    """GeoArrow 0.2, extension types: name, and metadata with the system of coordinates as PROJJSON."""
    table = machine.table(layer)
    field = table.schema.field(table.column_names[-1])
    assert (field.name, field.type) == ("geometry", pa.binary())
    assert field.metadata[b"ARROW:extension:name"] == b"geoarrow.wkb"
    facts = json.loads(field.metadata[b"ARROW:extension:metadata"])
    assert facts["crs_type"] == "projjson"
    assert pyproj.CRS.from_json_dict(facts["crs"]) == pyproj.CRS("OGC:CRS84")
    read = geopandas.GeoDataFrame.from_arrow(table)
    assert read.crs == pyproj.CRS("OGC:CRS84")
    assert shapely.is_valid(read.geometry.dropna()).all()
    frame = machine.frame(layer)
    assert frame.crs == "EPSG:4326"
    assert (
        frame.geometry.geom_equals(read.geometry.set_crs("EPSG:4326", allow_override=True))
        .loc[~frame.geometry.isna()]
        .all()
    )


def test_areas_are_those_of_an_independent_computation(machine: taskdata.Dataset) -> None:
    frame = machine.frame("fields")
    geod = pyproj.Geod(ellps="WGS84")
    areas = [abs(geod.geometry_area_perimeter(shapely.orient_polygons(shape))[0]) for shape in frame.geometry]
    assert frame["area_m2"].tolist() == pytest.approx(areas, rel=1e-9)
    assert frame.attrs["units"]["area_m2"] == "m²"


def test_logged_values_are_physical_with_their_unit(machine: taskdata.Dataset) -> None:
    table = machine.table("log_records")
    name = "actual_volume_per_area_application_rate_det203"
    field = table.schema.field(name)
    assert field.metadata == {
        b"quantity": b"Actual Volume Per Area Application Rate",
        b"ddi": b"0002",
        b"part": b"DET203",
        b"unit": b"L/ha",
    }
    log = machine.task("TSK1").log()
    records = log.records
    assert records is not None
    chosen = records.value_index == 1
    wanted = np.full(len(records.time), np.nan)
    wanted[records.value_record[chosen]] = records.value[chosen] / 10_000  # 0.01 mm³/m² each, 100 mm³/m² are 1 L/ha
    rows = table.filter(pa.compute.equal(table["file"], "TLG00001"))
    assert np.asarray(rows[name]) == pytest.approx(wanted, rel=1e-12, nan_ok=True)
    known = ~np.isnan(records.lon)
    places = shapely.from_wkb(rows["geometry"].to_pylist())
    assert np.array_equal(shapely.is_missing(places), ~known)
    assert np.array_equal(shapely.get_coordinates(places), np.column_stack([records.lon, records.lat])[known])
    frame = machine.frame("log_records", units="us")
    assert frame.attrs["units"][name] == "gal/ac"
    assert frame["time"].iloc[0] == records.time[0]


def test_rates_of_zones_are_those_of_the_file(machine: taskdata.Dataset) -> None:
    """Raw values of ISO 11783-11: DDI 1 counts 0.01 mm³/m² (1e-4 L/ha), DDI 6 counts 1 mg/m² (0.01 kg/ha)."""
    table = machine.table("treatment_zones").to_pylist()
    root = etree.parse(samples.MACHINE / "TASKDATA.XML").getroot()
    steps = {1: (1e-4, "L/ha"), 6: (0.01, "kg/ha")}
    wanted = []
    for task in root.iter("TSK"):
        for zone in task.findall("TZN"):
            ddi, value = int(zone.find("PDV").get("A"), 16), int(zone.find("PDV").get("B"))
            wanted.append((task.get("A"), int(zone.get("A")), ddi, value * steps[ddi][0], steps[ddi][1]))
    assert [(row["task"], row["code"], row["ddi"], row["unit"]) for row in table] == [
        (task, code, ddi, unit) for task, code, ddi, _, unit in wanted
    ]
    assert [row["rate"] for row in table] == pytest.approx([rate for *_, rate, _ in wanted], rel=1e-12)
    assert json.loads(table[1]["setpoints"]) == [
        {"ddi": 1, "rate": 150.0, "unit": "L/ha", "raw_value": 1_500_000, "product": "PDT5", "part": "DET203"}
    ]


def test_rates_of_cells_are_those_of_the_file(machine: taskdata.Dataset) -> None:
    """Two 32-bit integers a cell, row by row from the south-west (ISO 11783-10, 8.6.2)."""
    frame = machine.frame("grid_cells")
    cells = frame[frame["file"] == "GRD00002"]
    stored = np.frombuffer((samples.MACHINE / "GRD00002.BIN").read_bytes(), "<i4").reshape(-1, 2)
    assert cells[["rate_1", "rate_2"]].to_numpy() == pytest.approx(stored * 0.01, rel=1e-12)
    assert set(cells["unit_1"]) == set(cells["unit_2"]) == {"kg/ha"}
    codes = np.frombuffer((samples.MACHINE / "GRD00001.BIN").read_bytes(), "u1")
    assert frame.loc[frame["file"] == "GRD00001", "code"].tolist() == codes.tolist()


@pytest.mark.parametrize("source", [*samples.SOUND, *samples.STICKS], ids=str)
@pytest.mark.parametrize("units", ["metric", "us"])
def test_tables_laid_over_their_base_change_nothing(source: Path, units: Any) -> None:
    data = taskdata.read(source)
    tables = {layer: data.table(layer, units=units) for layer in LAYERS}
    frames = {layer: data.frame(layer, units=units) for layer in LAYERS}
    for given in (tables, frames, {"fields": frames["fields"]}):
        back = taskdata.Dataset.from_frames(given, base=data, units=units)
        assert isinstance(back, taskdata.Dataset)
        assert back.losses == ()
        assert all(one is two for one, two in zip(back.fields, data.fields, strict=True))
        assert all(one is two for one, two in zip(back.tasks, data.tasks, strict=True))


def test_changes_reach_the_set(office: taskdata.Dataset, tmp_path: Path) -> None:
    fields, zones, cells = (office.frame(layer) for layer in ("fields", "treatment_zones", "grid_cells"))
    fields.loc[fields["id"] == "PFD3", "name"] = "Neuer Name"
    zones.loc[(zones["task"] == "TSK1") & (zones["code"] == 2), "rate"] = 123.4
    first = (cells["file"] == "GRD00002") & (cells["row"] == 0) & (cells["column"] == 0)
    cells.loc[first, "rate_2"] = 77.77
    points = office.frame("points").iloc[1:]
    changed = taskdata.Dataset.from_frames(
        {"fields": fields, "treatment_zones": zones, "grid_cells": cells, "points": points}, base=office
    )
    assert changed.losses == ()
    for data in (changed, written(changed, tmp_path / "stick")):
        assert data.field("PFD3").name == "Neuer Name"
        zone = next(zone for zone in data.task("TSK1").zones if zone.code == 2)
        assert zone.setpoints[0].value == 1_234_000
        grid = data.task("TSK3").grid
        assert grid is not None
        assert grid.cells is not None
        assert grid.cells[0, 0, 1] == 7777
        assert len(data.points) == len(office.points) - 1
        assert data.counts["DVC"] == office.counts["DVC"]
    assert office.field("PFD3").name == "Schmale Äcker"


def written(data: taskdata.Dataset, target: Path) -> taskdata.Dataset:
    """Write a set as ISO-XML and read it again."""
    taskdata.write(data, target, to="isoxml", verify=True)
    return taskdata.read(target)


def test_frames_in_another_system_are_brought_back(office: taskdata.Dataset) -> None:
    frame = office.frame("fields").to_crs("EPSG:25832")
    back = taskdata.Dataset.from_frames({"fields": frame}, base=office)
    assert [one is two for one, two in zip(back.fields, office.fields, strict=True)] == [True] * len(office.fields)


def test_geometry_may_be_kept_natively_and_under_another_name(office: taskdata.Dataset) -> None:
    frame = office.frame("fields").rename_geometry("outline")
    native = pa.table(frame.to_arrow(index=False, geometry_encoding="geoarrow"))
    assert native.schema.field("outline").metadata[b"ARROW:extension:name"] == b"geoarrow.multipolygon"
    for given in (frame, native):
        back = taskdata.Dataset.from_frames({"fields": given}, base=office)
        assert back.losses == ()
        assert back.fields[0] is office.fields[0]


def test_frames_alone_make_a_set(office: taskdata.Dataset) -> None:
    layers = ("fields", "areas", "lines", "guidance_lines", "points", "treatment_zones")
    alone = taskdata.Dataset.from_frames({layer: office.frame(layer) for layer in layers})
    assert alone.lossless is None
    assert [(loss.kind.value, loss.what) for loss in alone.losses] == [
        ("changed", f"task {task.id} is made for a new zone") for task in office.tasks if task.zones
    ]
    assert alone.findings == ()
    assert [field.name for field in alone.fields] == [field.name for field in office.fields]
    for layer in ("fields", "guidance_lines", "points"):
        one, two = (data.frame(layer).drop(columns="key") for data in (alone, office))
        assert one.geometry.geom_equals_exact(two.geometry, 1e-9).all()
    rates = [[zone.setpoints for zone in task.zones] for task in alone.tasks]
    assert rates == [[zone.setpoints for zone in task.zones] for task in office.tasks if task.zones]


def test_a_frame_made_by_hand_becomes_fields(tmp_path: Path) -> None:
    box = shapely.box(500_000, 6_017_000, 500_200, 6_017_100)
    frame = geopandas.GeoDataFrame({"name": ["Neues Land"]}, geometry=[box], crs="EPSG:25832")
    data = taskdata.Dataset.from_frames({"fields": frame})
    assert data.fields[0].name == "Neues Land"
    # 200 m x 100 m of the plane; the scale of UTM is 0.9996 on its central meridian
    assert data.frame("fields")["area_m2"].tolist() == pytest.approx([20_000 / 0.9996**2], rel=1e-6)
    assert written(data, tmp_path / "stick").fields[0].name == "Neues Land"


def test_what_is_changed_in_records_is_told_and_stays(machine: taskdata.Dataset) -> None:
    frame = machine.frame("log_records")
    frame.loc[5, "hdop"] = 99.0
    back = taskdata.Dataset.from_frames({"log_records": frame}, base=machine)
    assert [(loss.what, loss.why) for loss in back.losses] == [
        ("changes in log_records", "a log is a record of work done; its files are not changed")
    ]
    frame = machine.frame("fields").assign(remark="new")
    back = taskdata.Dataset.from_frames({"fields": frame}, base=machine)
    assert [loss.what for loss in back.losses] == ["column remark of fields"]
    dry = taskdata.write(back, "nowhere", to="isoxml", dry_run=True)
    assert [loss.what for loss in dry.losses] == ["column remark of fields"]


def test_what_reading_could_not_take_over_is_told_when_it_is_written(tmp_path: Path) -> None:
    data = taskdata.read(samples.DISPLAY, crs="EPSG:32632")
    assert any(loss.what.startswith("columns ") for loss in data.losses)
    done = taskdata.write(data, tmp_path / "stick", to="isoxml", dry_run=True)
    converted = taskdata.convert(samples.DISPLAY, tmp_path / "stick", to="isoxml", crs="EPSG:32632", dry_run=True)
    assert set(done.losses) == set(converted.losses)


def refused(frames: Any, base: taskdata.Dataset | None = None) -> str:
    """Return why frames are refused."""
    with pytest.raises(taskdata.UsageError) as caught:
        taskdata.Dataset.from_frames(frames, base=base)
    return str(caught.value)


def why_not(frame: Any, layer: str, base: taskdata.Dataset) -> str:
    """Return why what stands in a frame is not written."""
    changed = taskdata.Dataset.from_frames({layer: frame}, base=base)
    with pytest.raises(taskdata.UsageError, match="a value cannot be stored") as caught:
        taskdata.write(changed, "nowhere", to="isoxml", dry_run=True)
    return str(caught.value).removeprefix(f"{base.source}: a value cannot be stored: ")


def test_a_rate_in_a_unit_of_another_dimension_is_refused(office: taskdata.Dataset) -> None:
    frame = office.frame("treatment_zones")
    frame.loc[0, "unit"] = "lb/ac"
    assert why_not(frame, "treatment_zones", office) == (
        "unit of row 1 of treatment_zones is 'lb/ac'; it should be a unit of the Setpoint Volume Per Area Application "
        "Rate: L/ha, gal/ac, mm³/m², mL/ha, m³/ha, fl oz/ac. Correct it; nothing was written"
    )
    frame = office.frame("treatment_zones")
    frame.loc[2, "ddi"] = None
    assert why_not(frame, "treatment_zones", office).startswith(
        "ddi of row 3 of treatment_zones is empty; it should be a number of the data dictionary, from 0 to 65535"
    )
    frame = office.frame("grid_cells")
    frame.loc[300, "rate_1"] = 1e9
    assert why_not(frame, "grid_cells", office).startswith(
        "rate_1 of row 301 of grid_cells is 1000000000.0; it should be a number from 0 to 21474836.47 kg/ha"
    )
    frame.loc[300, "rate_1"] = 21474836.47
    assert taskdata.Dataset.from_frames({"grid_cells": frame}, base=office).losses == ()
    frame["rate_1"] = "much"
    assert "is 'much'; it should be a number" in why_not(frame, "grid_cells", office)


def test_a_rate_without_a_column_of_units_is_in_the_usual_one(office: taskdata.Dataset) -> None:
    """NIST SP 811: a gallon on an acre is 9.353956 L/ha."""
    frame = office.frame("treatment_zones", units="us").drop(columns=["unit", "setpoints"])
    frame.loc[0, "rate"] = 20.0
    changed = taskdata.Dataset.from_frames({"treatment_zones": frame}, base=office, units="us")
    first, *rest = (zone for task in changed.tasks for zone in task.zones)
    assert first.setpoints[0].value == round(20 * 9.353956228956 * 1e4)
    assert [zone.setpoints for zone in rest] == [zone.setpoints for task in office.tasks for zone in task.zones][1:]
    with pytest.raises(taskdata.UsageError, match="rate of treatment_zones has no unit"):
        taskdata.Dataset.from_frames({"treatment_zones": frame.drop(columns="ddi")}, base=office)


def test_an_empty_rate_is_told_by_the_column_that_it_stands_in(office: taskdata.Dataset) -> None:
    frame = office.frame("treatment_zones")
    frame.loc[1, "rate"] = float("nan")
    changed = taskdata.Dataset.from_frames({"treatment_zones": frame}, base=office)
    told = "rate of row 2 of treatment_zones is empty, which cannot be stored: it should be a number from 0 to "
    assert any(finding.message.startswith(told) for finding in changed.findings)
    assert why_not(frame, "treatment_zones", office).startswith("rate of row 2 of treatment_zones is empty; it should")


def test_values_of_several_kinds_in_a_column_are_told_with_its_name(office: taskdata.Dataset) -> None:
    frame = office.frame("fields")
    frame["name"] = ["Hang", 7, *frame["name"][2:]]
    assert refused({"fields": frame}, office) == (
        "the table fields cannot be read (the values of its column name are of several kinds, such as texts and "
        "numbers). Give all values of a column as one kind"
    )


@pytest.mark.parametrize("name", [None, 3, ["fields"]])
def test_what_is_no_name_is_told(name: Any, office: taskdata.Dataset, machine: taskdata.Dataset) -> None:
    log = next(log for task in machine.tasks for log in task.logs)
    calls = (
        office.field,
        office.task,
        office.guidance_line,
        office.frame,
        office.table,
        lambda wrong: taskdata.Dataset.from_frames({"fields" if wrong == ["fields"] else wrong: 1}),
        lambda wrong: log.values(2, wrong or ()),
        lambda wrong: log.values([wrong]),
    )
    for call in calls:
        with pytest.raises(taskdata.UsageError):
            call(name)


def test_a_rate_of_an_unknown_quantity_stays_a_raw_number() -> None:
    data = taskdata.read(samples.OFFICE)
    task = data.task("TSK1")
    zone = replace(
        task.zones[0], setpoints=(replace(task.zones[0].setpoints[0], ddi=0xE123, value=-7, presentation=None),)
    )
    tasks = (replace(task, zones=(zone, *task.zones[1:])), *data.tasks[1:])
    changed = data.with_changes(tasks=tasks)
    table = changed.table("treatment_zones")
    row = table.slice(0, 1).to_pylist()[0]
    said = tuple(row[name] for name in ("rate", "unit", "raw_value", "quantity"))
    assert said == (None, None, -7, "manufacturer's DDI E123")
    back = taskdata.Dataset.from_frames({"treatment_zones": table}, base=changed)
    assert back.tasks[0].zones[0].setpoints[0].value == -7


def test_what_cannot_be_a_layer_is_refused(office: taskdata.Dataset) -> None:
    frame = office.frame("fields")
    assert refused({"feilds": frame}) == "feilds: there is no such layer. Do you mean fields?"
    assert refused({"fields": frame.drop(columns="key")}, office) == (
        "the table fields has no column key, which links its rows to those of the base. Keep key as the table had it, "
        "empty in new rows"
    )
    assert refused({"fields": [1, 2]}) == "the table fields is a list. Give a GeoDataFrame or a pyarrow.Table"
    bad = pa.table({"name": ["x"], "geometry": pa.array([1.5])})
    assert refused({"fields": bad}).startswith("the geometry of fields cannot be read (")
    with pytest.raises(taskdata.UsageError, match=r"^layer: there is no such layer\. Choose one of: fields, areas"):
        office.table("layer")
    with pytest.raises(taskdata.UsageError, match="there are no units called 'imperial'"):
        office.table("treatment_zones", units="imperial")  # type: ignore[arg-type]


def test_without_geopandas_a_frame_is_refused_and_a_table_is_not(
    office: taskdata.Dataset, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "geopandas", None)
    with pytest.raises(taskdata.UsageError) as caught:
        office.frame("fields")
    assert str(caught.value) == (
        "a GeoDataFrame needs geopandas, which is not installed. Install it, for example with pip install "
        "'taskdata[geopandas]', or take `table`"
    )
    assert office.table("fields").num_rows == len(office.fields)


def test_a_set_without_anything_has_empty_layers() -> None:
    empty = taskdata.Dataset("here", "isoxml")
    for layer in LAYERS:
        assert empty.table(layer).num_rows == 0
        assert len(empty.frame(layer)) == 0
        assert taskdata.Dataset.from_frames({layer: empty.frame(layer)}).losses == ()


def test_the_page_of_the_layers_names_the_columns_of_tables(machine: taskdata.Dataset) -> None:
    page = (
        (samples.SAMPLES.parent / "schemas" / "README.md").read_text(encoding="utf-8").partition("## Tables in Python")
    )
    rows = [line.strip("| ").split(" | ") for line in page[2].splitlines() if line.startswith("| `")]
    assert len(rows) == 1
    example = rows[0][1].strip("`").replace("det3", "det203")
    assert example in machine.table("log_records").column_names
