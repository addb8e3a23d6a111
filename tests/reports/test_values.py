"""Values as a set wants them shown: ``(raw + offset) x scale``, rounded to the decimals (ISO 11783-10 D.25, D.51).

The expected texts are worked by hand from that formula.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.model.dataset import Dataset
from taskdata.model.machines import Presentation
from taskdata.quantities.dictionary import entry
from taskdata.reports.inspect import inspect_document
from taskdata.reports.inspect_text import inspect_text
from taskdata.reports.remembered import basis_of
from taskdata.reports.values import shown

SAMPLES = Path(__file__).parents[2] / "samples"
SET = """<?xml version="1.0" encoding="UTF-8"?>
<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="1">
  <VPN A="VPN1" B="500" C="0.0022" D="2" E="buckets" />
  <VPN A="VPN2" B="x" C="0.0022" D="2" E="wrong" />
  <DVC A="DVC1" B="Streuer" D="A00C86000F623456" F="0A0B11121314151617" G="FF000000006564">
    <DET A="DET1" B="1" C="1" D="Streuer" E="0" F="0"><DOR A="2" /><DOR A="3" /></DET>
    <DPT A="2" B="0049" C="1600000" D="Inhalt" E="9" />
    <DPT A="3" B="0046" C="24000" D="Breite" />
    <DVP A="9" B="-100000" C="0.001" D="1" E="L" />
  </DVC>
  <TSK A="TSK1" B="Streuen" G="1" H="1">
    <TZN A="1" B="a"><PDV A="0006" B="20000" E="VPN1" /><PDV A="0001" B="2000000" E="VPN2" /></TZN>
    <TZN A="2" B="b"><PDV A="0006" B="20005" E="VPN1" /><PDV A="0001" B="1500000" E="VPN2" /></TZN>
  </TSK>
</ISO11783_TaskData>
"""


@pytest.fixture
def spreading(tmp_path: Path) -> Dataset:
    (tmp_path / "TASKDATA.XML").write_text(SET, encoding="utf-8")
    return to_dataset(read_document(tmp_path))


def facts(values: list[dict[str, str]]) -> list[tuple[str, ...]]:
    return [tuple(str(item[name]) for name in ("ddi", "minimum", "maximum", "unit", "shown_by")) for item in values]


def test_rates_are_shown_as_the_set_says_and_else_by_the_dictionary(spreading: Dataset) -> None:
    """(20000 + 500) x 0.0022 = 45.10 and (20005 + 500) x 0.0022 = 45.111; 0.01 mm³/m² x 2000000 = 200 L/ha."""
    task = inspect_document(spreading, "metric")["tasks"][0]
    assert facts(task["values"]) == [
        ("0006", "45.10", "45.11", "buckets", "set"),
        ("0001", "150", "200", "L/ha", "dictionary"),
    ]
    american = inspect_document(spreading, "us")["tasks"][0]
    assert facts(american["values"])[0] == ("0006", "45.10", "45.11", "buckets", "set")
    assert facts(american["values"])[1][3] == "gal/ac"


def test_constants_are_shown_as_the_device_says(spreading: Dataset) -> None:
    """(1600000 - 100000) x 0.001 = 1500.0; 24000 mm = 24 m."""
    machine = inspect_document(spreading, "metric")["machines"][0]
    assert facts(machine["values"]) == [
        ("0049", "1500.0", "1500.0", "L", "set"),
        ("0046", "24", "24", "m", "dictionary"),
    ]


def test_the_text_shows_them_on_request_alone(spreading: Dataset) -> None:
    asked = inspect_text(spreading, values=True)
    assert "DET1: Inhalt: 1500.0 L; Breite: 24 m" in asked
    assert "45.10 to 45.11 buckets" in asked
    assert "buckets" not in inspect_text(spreading)
    assert "values" not in inspect_document(spreading)["tasks"][0]


def test_logged_values_are_shown_as_the_machine_says(tmp_path: Path) -> None:
    """A logged rate from 0 to 2448000: (0 + 10000) x 0.00001 = 0.100, (2448000 + 10000) x 0.00001 = 24.580."""
    folder = tmp_path / "TASKDATA"
    shutil.copytree(SAMPLES / "machine" / "TASKDATA", folder)
    main = folder / "TASKDATA.XML"
    before = 'B="0" C="0.0001" D="0" E="L/ha" />'
    text = main.read_text(encoding="utf-8")
    assert before in text
    main.write_text(text.replace(before, 'B="10000" C="0.00001" D="3" E="hl/ha" />'), encoding="utf-8")
    data = to_dataset(read_document(folder))
    log = data.tasks[0].logs[0]
    records = log.records
    assert records is not None
    raw = records.value[records.value_index == [item.ddi for item in log.quantities].index(2)]
    assert (raw.min(), raw.max()) == (0, 2_448_000)
    logged = inspect_document(data, "metric")["tasks"][0]["logs"][0]["values"]
    assert ("0002", "0.100", "24.580", "hl/ha", "set") in facts(logged)


def test_a_grid_of_setpoints_shows_its_lowest_and_highest() -> None:
    data = to_dataset(read_document(SAMPLES / "office" / "TASKDATA"))
    tasks = [item for item in data.tasks if item.grid is not None and item.grid.kind == 2]
    assert tasks
    for task in tasks:
        assert task.grid is not None
        assert task.grid.cells is not None
        document = next(item for item in inspect_document(data, "metric")["tasks"] if item["id"] == task.id)
        spans = {(item["ddi"], item["part"], item["product"]): item for item in document["values"]}
        for index, setpoint in enumerate(task.grid.setpoints):
            cells = task.grid.cells[..., index]
            expected = shown(int(cells.max()), setpoint.ddi, "metric", setpoint.presentation)
            assert spans[f"{setpoint.ddi:04X}", setpoint.part, setpoint.product]["maximum"] == expected.text


def test_a_presentation_that_is_no_number_is_left_aside() -> None:
    assert shown(24_000, 0x46, "metric", Presentation(0, "abc", 1, "ell")).by == "dictionary"
    assert shown(24_000, 0x46, "metric", Presentation(0, "0.001", 9, "ell")).by == "dictionary"
    assert shown(7, 0xE123, "metric").unit is None


def test_what_the_dictionary_knows_from_memory_is_said_once(spreading: Dataset) -> None:
    """Row 0046 (maximum working width) is from memory, 0001 was read, and 0006 and 0049 the set itself scales."""
    text = " ".join(inspect_text(spreading, values=True).split())
    assert text.count("from memory") == 1
    assert "not taken from the published data dictionary, for: Maximum Working Width." in text
    assert "from memory" not in inspect_text(spreading)
    document = inspect_document(spreading, "metric")
    values = document["tasks"][0]["values"] + document["machines"][0]["values"]
    assert {value["ddi"]: value["basis"] for value in values} == {
        "0006": None,
        "0001": "text",
        "0049": None,
        "0046": "memory",
    }


def test_a_code_has_no_unit_that_could_be_wrong() -> None:
    """Actual Work State (008D) is a row from memory, but its number is shown as stored."""
    assert entry(0x8D).basis == "memory"
    assert basis_of(0x8D, shown(1, 0x8D, "metric").unit) is None
