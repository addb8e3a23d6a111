"""Logs as a person reads them, against records packed and read by hand and the scales of the data dictionary."""

from __future__ import annotations

import csv
import json
import struct
from collections.abc import Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import geopandas
import numpy as np
import pyogrio
import pytest
from hypothesis import given
from hypothesis import strategies as st

import taskdata
from taskdata.formats.layers import log_names
from taskdata.formats.layers.held_values import Holding, pause_s
from taskdata.model.log_columns import LogColumn
from taskdata.model.logs import LogRecords
from taskdata.resources import table

RATE, STATE, SECTIONS, SPEED, OWN = 0x0002, 0x008D, 0x00A1, 0x018D, 0xE123
START = datetime(2024, 4, 18, 7, 0, 0)
HEAD = '<TIM A="" D="4"><PTN A="" B="" D="" /><DLV A="0002" B="" C="DET2" /><DLV A="008D" B="" C="DET2" />'
HEAD += '<DLV A="00A1" B="" C="DET2" /><DLV A="018D" B="" C="DET1" /><DLV A="E123" B="" C="DET3" /></TIM>'
QUANTITIES = (RATE, STATE, SECTIONS, SPEED, OWN)

Record = tuple[float, dict[int, int]]
"""Seconds since the start, and raw value by place in the header."""

RECORDS: Sequence[Record] = (
    (0.0, {}),
    (1.0, {0: 1_500_000, 1: 1, 3: 2_500}),
    (2.0, {2: 0b11_11_11_11_11_11_11_11_11_11_11_11_11_10_00_01 - (1 << 32)}),
    (3.0, {0: 1_234_567}),
    (4.0, {1: 0, 4: -7}),
    (90.0, {3: 0}),  # 86 s without a record
    (91.0, {0: 10_000}),
)

SET = """<?xml version="1.0" encoding="UTF-8"?>
<ISO11783_TaskData VersionMajor="4" VersionMinor="3" ManagementSoftwareManufacturer="Hof Ahrenbrook"
 ManagementSoftwareVersion="1" TaskControllerManufacturer="Hof Ahrenbrook" TaskControllerVersion="1"
 DataTransferOrigin="2">
<DVC A="DVC1" B="Spritze" D="A00A860000000001" F="01020304050607" G="01020304050607">
<DET A="DET1" B="1" C="1" D="Spritze" E="0" F="0" />
<DET A="DET2" B="2" C="2" D="Gestänge groß" E="1" F="1" />
<DET A="DET3" B="3" C="4" D="" E="2" F="1" />
</DVC>
<TSK A="TSK1" B="Spritzen am Hang" G="4"><TLG A="TLG00001" C="1" /></TSK>
</ISO11783_TaskData>
"""


def packed(records: Sequence[Record]) -> bytes:
    """Return the records of a binary log (ISO 11783-10, 8.6.3), packed by hand."""
    data = b""
    for number, (seconds, values) in enumerate(records):
        since = START + timedelta(seconds=seconds) - datetime(1980, 1, 1)
        data += struct.pack("<IH", since.seconds * 1000 + since.microseconds // 1000, since.days)
        data += struct.pack("<iiB", 543_000_000 + 100 * number, 70_000_000, 4)
        data += struct.pack("<B", len(values)) + b"".join(struct.pack("<Bi", *item) for item in values.items())
    return data


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    place = tmp_path / "stick" / "TASKDATA"
    place.mkdir(parents=True)
    (place / "TASKDATA.XML").write_text(SET, encoding="utf-8")
    (place / "TLG00001.XML").write_text(HEAD, encoding="utf-8")
    (place / "TLG00001.BIN").write_bytes(packed(RECORDS))
    return place


def step(ddi: int) -> float:
    """Return what the data dictionary calls the resolution of a quantity."""
    return float(next(row["resolution"] for row in table("ddi") if int(row["ddi"]) == ddi))


NAMES = ("rate_l_ha_gestaenge_gross", "work_state_gestaenge_gross", "speed_km_h_spritze", "ddi_e123_det3")
SECTION_NAME = "condensed_work_state_1_16_gestaenge_gross"


def meant() -> dict[str, list[Any]]:
    """Return what each column should hold: 100 mm³/m² are 1 L/ha, 1000 mm/s are 3.6 km/h."""
    litres = [None, *[1_500_000 * step(RATE) / 100] * 2, *[1_234_567 * step(RATE) / 100] * 2, None, 1.0]
    speed = [None, *[2_500 * step(SPEED) * 3.6 / 1000] * 4, 0.0, 0.0]
    return {
        NAMES[0]: litres,
        NAMES[1]: [None, 1, 1, 1, 0, None, None],
        NAMES[2]: speed,
        NAMES[3]: [None, None, None, None, -7, None, None],
    }


def target(stick: Path, folder: Path, form: str) -> Path:
    """Write the set and return the file of the layer."""
    whole = folder / ("set.gpkg" if form == "gpkg" else "layers")
    taskdata.convert(stick, whole, to=form)
    endings = {"shapefile": "log_values.shp", "flatgeobuf": "log_values.fgb", "geojson": "log_values.geojson"}
    return whole if form == "gpkg" else whole / endings[form]


@pytest.mark.parametrize("form", ["gpkg", "geojson", "flatgeobuf"])
def test_values_are_those_packed_by_hand(stick: Path, tmp_path: Path, form: str) -> None:
    frame = geopandas.read_file(target(stick, tmp_path, form), layer="log_values")
    for name, values in meant().items():
        wanted = np.array([np.nan if value is None else value for value in values], dtype=float)
        assert frame[name].to_numpy(dtype=float) == pytest.approx(wanted, rel=1e-12, nan_ok=True), name
    shown = [None if isinstance(text, float) else text for text in frame[SECTION_NAME].astype(object)]
    assert [text or None for text in shown] == [None, None, *["10e-------------"] * 3, None, None]
    assert frame["time"].astype("datetime64[ms]").tolist() == [START + timedelta(seconds=at) for at, _ in RECORDS]
    assert frame["task_name"].tolist() == ["Spritzen am Hang"] * 7
    assert frame["status"].tolist() == ["rtk_fixed_integer"] * 7
    assert frame.geometry.y.tolist() == pytest.approx([54.3 + 1e-5 * number for number in range(7)], abs=1e-9)
    assert frame.crs == "EPSG:4326"


def test_a_table_of_a_spreadsheet(stick: Path, tmp_path: Path) -> None:
    taskdata.convert(stick, tmp_path / "tables", to="csv")
    with (tmp_path / "tables" / "log_values.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row[NAMES[0]] for row in rows] == ["", "150", "150", "123.4567", "123.4567", "", "1"]
    assert (rows[3]["time"], rows[3]["latitude"], rows[3]["longitude"]) == ("2024-04-18 07:00:03.000", "54.30003", "7")
    assert not (tmp_path / "tables" / "log_records.csv").exists()


def test_short_names_of_a_shapefile_have_a_legend(stick: Path, tmp_path: Path) -> None:
    file = target(stick, tmp_path, "shapefile")
    names = pyogrio.read_info(file)["fields"].tolist()
    assert len(set(names)) == len(names)
    assert max(map(len, names)) <= 10
    legend = json.loads((file.parent / "taskdata-sidecar.json").read_text(encoding="utf-8"))["layers"]["log_values"]
    (column,) = (item for item in legend["columns"] if item["name"] == NAMES[0])
    assert column["short"] in names
    assert column["label"] == "Actual Volume Per Area Application Rate, Gestänge groß DET2 (L/ha)"


def test_python_gives_the_same_layer_in_both_systems(stick: Path, tmp_path: Path) -> None:
    data = taskdata.read(stick)
    frame = data.frame("log_values")
    assert frame[NAMES[0]].tolist() == pytest.approx(
        [np.nan if value is None else value for value in meant()[NAMES[0]]], nan_ok=True
    )
    assert frame.attrs["units"][NAMES[0]] == "L/ha"
    gallons = data.table("log_values", units="us")
    # NIST SP 811: 1 gal/ac is 9.353956 L/ha
    assert gallons["rate_gal_ac_gestaenge_gross"][1].as_py() == pytest.approx(150 / 9.353956228956)
    facts = gallons.schema.field("rate_gal_ac_gestaenge_gross").metadata
    assert (facts[b"unit"], facts[b"ddi"], facts[b"part"]) == (b"gal/ac", b"0002", b"DET2")


@pytest.mark.parametrize("form", ["gpkg", "shapefile", "parquet", "flatgeobuf", "geojson"])
def test_the_way_back_is_exact_with_and_without_it(stick: Path, tmp_path: Path, form: str) -> None:
    for raw in (False, True):
        place = tmp_path / (f"layers{raw}.gpkg" if form == "gpkg" else f"layers{raw}")
        taskdata.convert(stick, place, to=form, raw=raw, verify=True)
        done = taskdata.convert(place, tmp_path / f"back{raw}", to="isoxml")
        assert done.losses == ()
        assert (tmp_path / f"back{raw}" / "TASKDATA" / "TLG00001.BIN").read_bytes() == packed(RECORDS)
    whole, alone = (tmp_path / (f"layers{raw}.gpkg" if form == "gpkg" else f"layers{raw}") for raw in (False, True))
    if form != "gpkg":
        assert {item.stem for item in whole.iterdir()} - {item.stem for item in alone.iterdir()} == {"log_values"}


def test_a_change_of_a_value_is_told_and_not_taken_over(stick: Path, tmp_path: Path) -> None:
    file = target(stick, tmp_path, "gpkg")
    frame = pyogrio.read_dataframe(file, layer="log_values")
    frame.loc[1, NAMES[0]] = 151.0
    pyogrio.write_dataframe(frame.assign(remark="x"), file, layer="log_values", driver="GPKG")
    done = taskdata.convert(file, tmp_path / "back", to="isoxml")
    assert [loss.what for loss in done.losses] == ["column remark of log_values", "changes in log_values"]
    assert (tmp_path / "back" / "TASKDATA" / "TLG00001.BIN").read_bytes() == packed(RECORDS)
    data = taskdata.read(stick)
    laid = taskdata.Dataset.from_frames({"log_values": data.frame("log_values").assign(hdop=1.0)}, base=data)
    assert [loss.what for loss in laid.losses] == ["changes in log_values"]
    assert taskdata.Dataset.from_frames({"log_values": data.frame("log_values")}, base=data).losses == ()


def test_alone_it_is_read_as_a_log(stick: Path, tmp_path: Path) -> None:
    file = target(stick, tmp_path, "geojson")
    (tmp_path / "alone").mkdir()
    alone = file.rename(tmp_path / "alone" / "hang.geojson")
    data = taskdata.read(alone)
    (log,) = data.task("TSK1").logs
    assert log.records is not None
    assert log.records.time.tolist() == [START + timedelta(seconds=at) for at, _ in RECORDS]
    told = [item for item in data.findings if item.rule.id == "import.log-columns-left-out"]
    assert all(name in told[0].message for name in NAMES)


def test_beside_the_stored_records_those_count(stick: Path, tmp_path: Path) -> None:
    folder = target(stick, tmp_path, "geojson").parent
    for name in ("carried_elements", "carried_files"):
        (folder / f"{name}.geojson").unlink()
    data = taskdata.read(folder)
    assert [log.length for task in data.tasks for log in task.logs] == [7]
    assert any("log_records holds the same records" in item.message for item in data.findings)


def test_a_set_always_holds_logs_as_they_are_stored(stick: Path, tmp_path: Path) -> None:
    with pytest.raises(taskdata.UsageError, match="Leave `raw` out"):
        taskdata.convert(stick, tmp_path / "back", to="isoxml", raw=True)


@given(st.lists(st.tuples(st.sampled_from([1.0, 2.0, 59.0, 200.0]), st.none() | st.integers(-9, 9)), min_size=1))
def test_a_value_holds_until_the_next_or_a_pause(steps: list[tuple[float, int | None]]) -> None:
    """The same, record by record."""
    since = np.cumsum([0.0, *(seconds for seconds, _ in steps[1:])])
    times = np.datetime64("2024-04-18T07:00:00", "ms") + (since * 1000).astype("timedelta64[ms]")
    new = [(number, value) for number, (_, value) in enumerate(steps) if value is not None]
    log = log_of(times, new)
    waits = [seconds for seconds, _ in steps[1:]]
    limit = max(60.0, 5.0 * float(np.median(waits))) if waits else 60.0
    held, wanted = None, []
    for number, (seconds, value) in enumerate(steps):
        held = value if value is not None else None if number and seconds > limit else held
        wanted.append(held)
    holding = Holding(pause_s([log.time]))
    raw, known = holding.held(log, 0, holding.stretches(log.time))
    assert [value if there else None for value, there in zip(raw.tolist(), known.tolist(), strict=True)] == wanted


def log_of(times: Any, new: list[tuple[int, int]]) -> LogRecords:
    """Return records with one quantity."""
    nowhere = np.zeros(len(times))
    record, value = ([item[part] for item in new] for part in (0, 1))
    known = (np.array(record, dtype=np.int64), np.zeros(len(new), dtype=np.uint8), np.array(value, dtype=np.int32))
    return LogRecords(times, nowhere, nowhere, None, None, *known)


def column(ddi: int, part: str | None, part_name: str | None, unit: str | None = "L/ha") -> LogColumn:
    return LogColumn("any", part, unit, ddi, part_name)


def test_names_are_unique_whatever_their_order() -> None:
    columns = {
        log_names.Channel(RATE, "DET5"): column(RATE, "DET5", "Boom"),
        log_names.Channel(RATE, "DET9"): column(RATE, "DET9", "boom"),
        log_names.Channel(1, "DET5"): column(1, "DET5", "Boom"),
        log_names.Channel(80, "DET5"): column(80, "DET5", "Faß", "L"),
        log_names.Channel(351, "DET5"): column(351, "DET5", "Faß", "L"),
        log_names.Channel(RATE, None): column(RATE, None, None),
        log_names.Channel(RATE, "DET7", 1): column(RATE, "DET7", "Ährenheber Ł 1/2"),
        log_names.Channel(RATE, "DET7", 2): column(RATE, "DET7", "Ährenheber Ł 1/2"),
    }
    found = log_names.names(columns, ["time"])
    assert list(found.values()) == [
        "setpoint_rate_l_ha_boom",
        "rate_l_ha",
        "rate_l_ha_boom_det5",
        "rate_l_ha_aehrenheber_l_1_2_det7_0002",
        "rate_l_ha_aehrenheber_l_1_2_det7_0002_2",
        "rate_l_ha_boom_det9",
        "application_total_volume_l_fass_det5_0050",
        "application_total_volume_l_fass_det5_015f",
    ]
    assert log_names.names(dict(reversed(columns.items())), ["time"]) == found
    assert all(name.isascii() and name == name.lower() for name in found.values())
