"""Records by identifier or name, and the values of logs by quantity and part."""

from __future__ import annotations

import csv
import struct
from pathlib import Path

import numpy as np
import pytest

import taskdata
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.logs import Log, Logged, LogRecords
from tests import samples


@pytest.fixture(scope="module")
def machine() -> Dataset:
    return taskdata.read(samples.MACHINE)


def test_a_record_is_found_by_identifier_or_name_in_any_case(machine: Dataset) -> None:
    field = machine.field("PFD3")
    assert field.name == "Schmale Äcker"
    assert all(machine.field(name) is field for name in ("Schmale Äcker", "pfd3", " schmale ÄCKER "))
    assert machine.task("Spritzen Große Breite T1") is machine.task("TSK1")
    assert machine.machine("DVC2").name == "Anbauspritze 24 m"
    assert machine.product("PDT1").id == "PDT1"
    assert machine.guidance_line("AB Südkante").id == "GPN1"


def test_the_identifier_decides_over_a_name_and_the_case_over_another() -> None:
    fields = (Field("PFD1", "PFD2"), Field("PFD2", "low"), Field("PFD3", "LOW"))
    data = Dataset("here", "isoxml", fields=fields)
    assert [data.field(name).id for name in ("PFD2", "low", "LOW")] == ["PFD2", "PFD2", "PFD3"]


def test_an_unknown_name_tells_the_nearest_ones(machine: Dataset) -> None:
    with pytest.raises(taskdata.UsageError) as caught:
        machine.field("Schmale Aecker")
    assert str(caught.value) == "Schmale Aecker: the set has no such field. Do you mean PFD3 (Schmale Äcker)?"
    with pytest.raises(taskdata.UsageError, match=r"such task. Choose one of: TSK1 \(Spritzen Große Breite T1\), TSK2"):
        machine.task("xyz")
    with pytest.raises(taskdata.UsageError, match=r"There is none$"):
        Dataset("here", "isoxml").machine("DVC1")
    many = Dataset("here", "isoxml", fields=tuple(Field(f"PFD{number}", "") for number in range(1, 31)))
    with pytest.raises(taskdata.UsageError, match=r"PFD10 and 20 more$"):
        many.field("?")


def test_a_name_of_several_records_asks_for_the_identifier() -> None:
    data = Dataset("here", "isoxml", fields=(Field("PFD1", "Kuhle"), Field("PFD2", "Kuhle")))
    with pytest.raises(taskdata.UsageError) as caught:
        data.field("Kuhle")
    assert str(caught.value) == "Kuhle: names several fields. Choose one by its identifier: PFD1 (Kuhle), PFD2 (Kuhle)"


def test_a_log_is_found_by_its_file(machine: Dataset) -> None:
    task = machine.task("TSK1")
    assert task.log() is task.log("TLG00001") is task.log("tlg00001.bin") is task.logs[0]
    with pytest.raises(taskdata.UsageError, match=r"no such log\. Do you mean TLG00001\?"):
        task.log("TLG00002")
    with pytest.raises(taskdata.UsageError, match=r"TSK2: has no logs$"):
        machine.task("TSK2").log()


def test_columns_name_quantity_part_and_unit(machine: Dataset) -> None:
    columns = machine.task("TSK1").log().columns()
    assert [column.index for column in columns] == list(range(14))
    told = {(column.name, column.part, column.part_name): column.unit for column in columns}
    assert told["Actual Volume Per Area Application Rate", "DET203", "Gestänge"] == "L/ha"
    assert told["Actual Work State", "DET203", "Gestänge"] == ""
    assert told["Total Area", "DET201", "Spritze"] == "ha"
    us = machine.task("TSK1").log().columns("us")
    assert us[1].unit == "gal/ac"


def stored_rates(folder: Path) -> dict[int, int]:
    """Record and raw value of DDI 2 of the log of TSK1, taken from its bytes by hand (ISO 11783-10, table D.5).

    Its header says: time of day and date, north and east, up, status, and then the counted values.
    """
    content = (folder / "TLG00001.BIN").read_bytes()
    head = struct.calcsize("<IHiiiBHHBIH")
    place = found = 0
    rates = {}
    while place < len(content):
        place += head
        count = content[place]
        place += 1
        for _ in range(count):
            index, value = struct.unpack_from("<Bi", content, place)
            place += 5
            if index == 1:
                rates[found] = value
        found += 1
    return rates


def test_values_are_physical_and_those_of_the_file(machine: Dataset) -> None:
    log = machine.task("TSK1").log()
    rates = log.values("actual rate", part="DET203")
    raw = stored_rates(samples.MACHINE)
    assert len(rates) == 11798
    assert np.flatnonzero(~np.isnan(rates)).tolist() == sorted(raw)
    # ISO 11783-11: DDI 2 counts 0.01 mm³/m²; 1 mm³/m² is 0.01 L/ha
    with (Path(taskdata.__file__).parent / "data" / "ddi.csv").open(encoding="utf-8", newline="") as stream:
        entry = next(row for row in csv.DictReader(stream) if row["ddi"] == "2")
    assert (entry["unit"], entry["resolution"]) == ("mm³/m²", "0.01")
    assert rates[sorted(raw)] == pytest.approx([raw[record] * 0.01 * 0.01 for record in sorted(raw)], rel=1e-12)


def test_values_are_held_forward_on_request(machine: Dataset) -> None:
    log = machine.task("TSK1").log()
    raw, held, latest = stored_rates(samples.MACHINE), log.values(2, hold=True), float("nan")
    for record, value in enumerate(held):
        latest = raw[record] * 0.0001 if record in raw else latest
        assert value == pytest.approx(latest, rel=1e-12, nan_ok=True)


def test_quantities_are_found_by_name_words_number_and_column(machine: Dataset) -> None:
    log = machine.task("TSK1").log()
    wanted = log.values("Actual Volume Per Area Application Rate")
    for quantity in ("actual rate", "0002", 2, log.columns()[1]):
        assert np.array_equal(log.values(quantity, "det203"), wanted, equal_nan=True)
    # NIST SP 811: 1 US liquid gallon is 3.785411784 L, 1 international acre 0.40468564224 ha
    us = log.values("actual rate", "Gestänge", units="us")
    assert us * 3.785411784 / 0.40468564224 == pytest.approx(wanted, rel=1e-12, nan_ok=True)


def test_what_is_no_column_or_several_is_told(machine: Dataset) -> None:
    log = machine.task("TSK1").log()
    with pytest.raises(taskdata.UsageError) as caught:
        log.values("work state")
    assert str(caught.value) == (
        "work state: names several columns of TLG00001. "
        "Choose one of: Actual Condensed Work State (1-16) of DET203, Actual Work State of DET203"
    )
    with pytest.raises(taskdata.UsageError, match=r"actaul rate: TLG00001 has no such column\. Do you mean Actual Vol"):
        log.values("actaul rate")
    with pytest.raises(taskdata.UsageError, match="00FF of DET9: TLG00001 has no such column"):
        log.values(255, "DET9")


def test_a_quantity_of_a_maker_comes_raw_and_the_last_value_of_a_record_counts() -> None:
    records = LogRecords(
        time=np.array(["2024-04-18T07:00:00", "2024-04-18T07:00:01"], dtype="datetime64[ms]"),
        lon=np.zeros(2),
        lat=np.zeros(2),
        up_m=None,
        status=None,
        value_record=np.array([1, 1, 1]),
        value_index=np.array([0, 0, 1], dtype=np.uint8),
        value=np.array([-(2**31), 2**31 - 1, 7], dtype=np.int32),
    )
    log = Log("TLG00001", (Logged(0xE123, "DET1"), Logged(0xE123, "DET1")), lambda: records)
    first, second = log.columns()
    assert (first.unit, first.name) == (None, "manufacturer's DDI E123")
    assert log.values(first)[1] == 2**31 - 1
    assert np.isnan(log.values(first, hold=True)[0])
    assert log.values(second).tolist()[1:] == [7.0]


def test_a_quantity_of_a_maker_is_in_the_unit_that_the_machine_shows(tmp_path: Path) -> None:
    """ISO 11783-10, D.25: shown = (raw + offset) x scale; here 0.0036 km/h for a step of 1 mm/s."""
    folder = samples.copy(samples.MACHINE, tmp_path)
    for name in ("TASKDATA.XML", "TLG00001.XML"):
        text = (folder / name).read_text(encoding="utf-8")
        (folder / name).write_text(text.replace('"018D"', '"E123"'), encoding="utf-8")
    own, known = (taskdata.read(place).task("TSK1").log() for place in (folder, samples.MACHINE))
    column = own.columns()[-1]
    assert (column.name, column.part_name, column.unit) == ("manufacturer's DDI E123", "Schlepper", "km/h")
    assert np.nanmax(own.values("E123")) > 5.0
    assert own.values("E123") == pytest.approx(known.values("actual speed"), rel=1e-9, nan_ok=True)
    assert own.values("E123", units="us") == pytest.approx(own.values("E123"), nan_ok=True)
    field = taskdata.read(folder).table("log_records").schema.field("manufacturer_s_ddi_e123_det101")
    assert field.metadata[b"unit"] == b"km/h"


def test_records_that_cannot_be_read_are_told() -> None:
    log = Log("TLG00009", (Logged(2, "DET1"),), lambda: None)
    assert [column.unit for column in log.columns()] == ["L/ha"]
    with pytest.raises(taskdata.SourceError, match="TLG00009: the records of the log could not be read"):
        log.values(2)


def test_every_column_of_a_log_is_found_by_the_label_that_is_printed(machine: Dataset) -> None:
    logs = [log for task in machine.tasks for log in task.logs]
    assert sum(len(log.columns()) for log in logs) > len(logs) > 0
    for log in logs:
        for column in log.columns():
            same = [item for item in log.columns() if item.label == column.label]
            if len(same) == 1:
                expected = log.values(column)
                assert np.array_equal(log.values(column.label.upper()), expected, equal_nan=True)
