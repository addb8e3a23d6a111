"""NMEA 0183 logs against published sentences and against what pynmea2 decodes by itself."""

from __future__ import annotations

import shutil
from datetime import datetime
from functools import reduce
from operator import xor
from pathlib import Path

import numpy as np
import pynmea2
import pytest
import shapely
from click.testing import CliRunner

import taskdata
from taskdata.cli import commands
from taskdata.errors import SourceError
from taskdata.formats.drivers.nmea import read_file
from tests.samples import SAMPLES

PUBLISHED = (
    "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\n"
    "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\n"
    "$GPVTG,054.7,T,034.4,M,005.5,N,010.2,K*48\n"
)
"""Sentences that descriptions of NMEA 0183 show everywhere, with their checksums."""


def sentence(body: str) -> str:
    return f"${body}*{reduce(xor, body.encode()):02X}\n"


def gga(clock: str, lat: float = 54.0, talker: str = "GN", quality: int = 4, lon: float = 9.5) -> str:
    parts = [f"{int(value):0{width}d}{value % 1 * 60:010.7f}" for value, width in ((lat, 2), (lon, 3))]
    return sentence(f"{talker}GGA,{clock},{parts[0]},N,{parts[1]},E,{quality},12,0.7,40.0,M,44.5,M,1.0,0000")


def rmc(clock: str, day: str, lat: float = 54.0) -> str:
    return sentence(f"GNRMC,{clock},A,{int(lat):02d}{lat % 1 * 60:010.7f},N,00930.0,E,4.0,90.0,{day},,,A")


def table_of(folder: Path, text: str | bytes) -> tuple[list[dict[str, object]], list[str]]:
    file = folder / "log.nmea"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    found = read_file(file)
    return found.tables["log"].table.to_pylist(), [finding.rule.id for finding in found.findings]


def test_published_sentences(tmp_path: Path) -> None:
    (row,), told = table_of(tmp_path, PUBLISHED)
    place = shapely.from_wkb(row.pop("geometry"))
    assert (place.x, place.y) == pytest.approx((11 + 31 / 60, 48 + 7.038 / 60), abs=1e-12)
    assert row == {
        "time": datetime(1994, 3, 23, 12, 35, 19),
        "up_m": pytest.approx(545.4 + 46.9),
        "fix": 1,
        "satellites": 8,
        "hdop": 0.9,
        "speed_m_s": pytest.approx(22.4 * 1852 / 3600),
        "course_deg": 84.4,
        "lat_spread_m": None,
        "lon_spread_m": None,
    }
    assert told == []


def test_positions_are_those_that_pynmea2_decodes(tmp_path: Path) -> None:
    rng = np.random.default_rng(7)
    lines = [
        gga(f"1200{second:02d}.00", *rng.uniform([0, 0], [90, 0])[:1], lon=rng.uniform(0, 180)) for second in range(60)
    ]
    rows, _ = table_of(tmp_path, rmc("120000.00", "010526") + "".join(lines))
    theirs = [pynmea2.parse(line) for line in lines]
    ours = [shapely.from_wkb(row["geometry"]) for row in rows]
    assert [(place.x, place.y) for place in ours] == [
        pytest.approx((item.longitude, item.latitude), abs=1e-12) for item in theirs
    ]


def test_dates_go_on_over_midnight_and_back_to_the_beginning(tmp_path: Path) -> None:
    clocks = ["235958.00", "235959.00", "000000.00", "000001.00", "000002.00"]
    early = "".join(map(gga, clocks[:3])) + rmc(clocks[3], "010526") + gga(clocks[3]) + gga(clocks[4])
    rows, told = table_of(tmp_path, early)
    assert [row["time"] for row in rows] == [datetime(2026, 4, 30, 23, 59, 58 + n) for n in (0, 1)] + [
        datetime(2026, 5, 1, 0, 0, n) for n in (0, 1, 2)
    ]
    late = sentence("GNZDA,235958.00,30,04,2026,00,00") + "".join(map(gga, clocks))
    assert [row["time"] for row in table_of(tmp_path, late)[0]] == [row["time"] for row in rows]
    rows, told = table_of(tmp_path, gga(clocks[0]))
    assert rows[0]["time"] is None
    assert told == ["import.date-unknown"]


def test_of_several_talkers_all_systems_together_count(tmp_path: Path) -> None:
    text = (
        rmc("120000.00", "010526", 53.9)
        + gga("120000.00", 54.1, "GP", 1)
        + gga("120000.00", 54.2)
        + gga("120000.00", 54.3, "GL", 1)
    )
    rows, told = table_of(tmp_path, text)
    assert [(shapely.from_wkb(row["geometry"]).y, row["fix"]) for row in rows] == [(pytest.approx(54.2), 4)]
    assert told == []


def test_spread_and_speed_belong_to_their_moment(tmp_path: Path) -> None:
    text = (
        rmc("120000.00", "010526")
        + gga("120000.00")
        + sentence("GNGST,120000.00,0.01,0.012,0.008,45.0,0.009,0.011,0.02")
        + gga("120001.00")
        + sentence("GNVTG,91.5,T,,M,5.0,N,9.26,K,A")
    )
    first, second = table_of(tmp_path, text)[0]
    assert (first["lat_spread_m"], first["lon_spread_m"], first["course_deg"]) == (0.009, 0.011, 90.0)
    assert (second["lat_spread_m"], second["course_deg"]) == (None, 91.5)
    assert second["speed_m_s"] == pytest.approx(9.26 / 3.6)


def test_broken_lines_are_counted_and_the_others_read(tmp_path: Path) -> None:
    good = [gga(f"12000{second}.00") for second in range(5)]
    broken = [
        good[1].replace("*", "*0"),
        good[2][:30] + "\n",
        "noise \xff\xfe\x00 $GNGGA,12",
        "$GNGGA,120000.00,9960.0,N,00930.0,E,4,12,0.7,40.0,M,44.5,M,1.0,0000\n",
        "x" * 5000 + "\n",
        gga("12000055"),
        gga("120000.1e9"),
        "12:00:01 " + good[3],
    ]
    rows, told = table_of(
        tmp_path, (rmc("120000.00", "010526") + good[0] + "".join(broken) + good[4]).encode("latin-1")
    )
    assert [row["time"].second for row in rows] == [0, 3, 4]
    assert told == ["import.broken-sentences"]


def test_cut_sentences_are_counted(tmp_path: Path) -> None:
    lines = [gga(f"1200{second:02d}.00") for second in range(20)]
    cut = [line[:30] + "\n" if number % 2 else line for number, line in enumerate(lines)]
    rows, told = table_of(tmp_path, rmc("120000.00", "010526") + "".join(cut) + "$GNG\n$\n")
    assert len(rows) == 10
    assert told == ["import.broken-sentences"]
    counted = read_file(tmp_path / "log.nmea").findings[0]
    assert counted.facts["count"] == "12"
    bare = [line.split("*")[0] + "\n" for line in lines]
    rows, told = table_of(tmp_path, "".join([*bare[:5], bare[6][:40] + "\n"]))
    assert len(rows) == 5
    assert told == ["import.broken-sentences", "import.date-unknown"]


def test_a_log_without_a_position_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "log.nmea"
    file.write_text(gga("120000.00", quality=0), encoding="utf-8")
    with pytest.raises(SourceError, match="holds no position"):
        taskdata.read(file)


def test_a_log_becomes_one_of_a_task_and_comes_back(tmp_path: Path) -> None:
    lines = [gga(f"1200{second:02d}.00", 54.0 + second * 1.2345e-5) for second in range(50)]
    source = tmp_path / "drive.nmea"
    source.write_text(rmc("120000.00", "010526") + "".join(lines), encoding="utf-8")
    data = taskdata.read(source)
    assert [finding.rule.id for finding in data.findings] == ["import.log-columns-left-out", "import.times-in-utc"]
    result = taskdata.convert(source, tmp_path / "stick", to="isoxml", verify=True)
    assert sorted(loss.what for loss in result.losses) == [
        "columns speed_m_s, course_deg of drive.nmea",
        "positions of log TLG00001 are rounded to 1e-7 degree",
    ]
    before = data.tasks[0].logs[0].records
    after = taskdata.read(tmp_path / "stick").tasks[0].logs[0].records
    assert before is not None
    assert after is not None
    assert (after.time == before.time).all()
    assert np.abs(after.lat - before.lat).max() <= 0.5e-7 + 1e-12
    assert after.up_m == pytest.approx(before.up_m, abs=5e-4)
    assert (after.status == 4).all()
    assert {name: list(column) for name, column in after.extras.items()} == {
        name: list(column) for name, column in before.extras.items()
    }
    assert [
        finding for finding in taskdata.check(tmp_path / "stick").findings if finding.rule.severity == "error"
    ] == []


def test_the_commands_take_it(tmp_path: Path) -> None:
    source = tmp_path / "log.txt"
    lines = [gga(f"1200{second:02d}.00", 54.0 + second * 1e-5) for second in range(50)]
    source.write_text(rmc("120000.00", "010526") + "".join(lines), encoding="utf-8")
    shown = CliRunner().invoke(commands, ["coverage", "--width", "6", str(source.rename(tmp_path / "log.nmea"))])
    assert shown.exit_code == 0
    assert "50 records in TLG00001" in shown.stdout


def test_what_a_binary_log_cannot_store_is_told(tmp_path: Path) -> None:
    source = tmp_path / "old.nmea"
    height = gga("120001.00").split("*")[0][1:].replace(",40.0,M", ",1e12,M")
    source.write_text(
        sentence("GNZDA,120000.00,30,04,1975,00,00") + gga("120000.00") + sentence(height), encoding="utf-8"
    )
    result = taskdata.convert(source, tmp_path / "stick", to="isoxml")
    assert {loss.what for loss in result.losses} >= {
        "2 values of TimeStartDate in log TLG00001",
        "1 value of PositionUp in log TLG00001",
    }
    records = taskdata.read(tmp_path / "stick").tasks[0].logs[0].records
    assert records is not None
    assert records.up_m is not None
    assert np.isnan(records.up_m).tolist() == [False, True]


def test_numbers_beyond_all_counting_break_a_sentence(tmp_path: Path) -> None:
    text = gga("120000.00").split("*")[0][1:].replace(",12,0.7", f",{'9' * 40},0.7")
    rows, told = table_of(tmp_path, rmc("120001.00", "010526") + gga("120001.00") + sentence(text))
    assert len(rows) == 1
    assert told == ["import.broken-sentences"]


def test_the_sample_is_one_drive_in_both_of_its_forms() -> None:
    logs = [
        taskdata.read(SAMPLES / "receiver" / f"mowing.{suffix}").tasks[0].logs[0].records for suffix in ("nmea", "csv")
    ]
    log, table = logs
    assert log is not None
    assert table is not None
    assert (log.time == table.time).all()
    assert np.abs(log.lon - table.lon).max() < 1e-12
    assert np.abs(log.lat - table.lat).max() < 1e-12


def test_notes_of_reading_are_not_called_faults(tmp_path: Path) -> None:
    shutil.copy(SAMPLES / "receiver" / "mowing.nmea", tmp_path)
    shown = CliRunner().invoke(commands, ["inspect", str(tmp_path)])
    assert "Reading found 2 things to look at; taskdata check lists each with its place." in shown.stdout


def test_a_survey_tells_of_broken_sentences(tmp_path: Path) -> None:
    """A checksum that is not that of its sentence, in a file of the published ones."""
    (tmp_path / "log.nmea").write_text(PUBLISHED + PUBLISHED.replace("*47", "*48"))
    shown = CliRunner().invoke(commands, ["inspect", str(tmp_path / "log.nmea")])
    assert shown.exit_code == 0
    assert "WARNING  log.nmea has broken sentences, which are left out: 1." in shown.stdout
    assert "its format is that of a log" in " ".join(shown.stdout.split())


def test_a_date_that_does_not_exist_breaks_its_sentence(tmp_path: Path) -> None:
    rows, told = table_of(
        tmp_path, (rmc("120000.00", "010526") + rmc("120001.00", "310226") + gga("120002.00")).encode()
    )
    assert [row["time"].second for row in rows] == [0, 2]
    assert told == ["import.broken-sentences"]
