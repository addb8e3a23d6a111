"""Logs are checked piece by piece; where they are parted makes no difference to what is found."""

from __future__ import annotations

import random
import struct
from pathlib import Path

import pytest

from taskdata import api
from taskdata.isoxml.timelog import files
from tests import heavy
from tests.checks.expected import FOLDER

SETS = sorted(path for path in FOLDER.glob("timelog.*/bad*") if path.is_dir())
HEADER = """<TIM A="" D="4"><PTN A="" B="" C="" D="" H="" I=""/><DLV A="018D" B="" C="DET1"/><DLV A="0074"
 B="" C="DET1"/><DLV A="018D" B="" C="DET2"/></TIM>"""
MAIN = """<?xml version="1.0" encoding="UTF-8"?>
<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="1" ManagementSoftwareManufacturer="Hof"
 ManagementSoftwareVersion="1"><PFD A="PFD1" C="Lindenschlag" D="900"><PLN A="1"><LSG A="1"><PNT A="2"
 C="54.3" D="7.0"/><PNT A="2" C="54.3" D="7.001"/><PNT A="2" C="54.301" D="7.001"/>
<PNT A="2" C="54.3" D="7.0"/></LSG></PLN></PFD>
<TSK A="TSK1" B="Lindenschlag" E="PFD1" G="4">
<TIM A="2026-11-20T08:00:00+01:00" B="2026-11-20T09:00:00+01:00" D="4"/>
<TLG A="TLG00001"/></TSK></ISO11783_TaskData>"""


def told(place: Path) -> list[object]:
    """Return all findings of an audit, with every word and place."""
    return [(item.rule.id, item.severity, item.place, dict(item.facts)) for item in api.check(place).findings]


def hurt_log(seed: int, records: int = 160) -> bytes:
    """Return a log in which the clock, the receiver and the quantities fail now and then, for some records in a row."""
    draw = random.Random(seed)  # noqa: S311  # test data, no secret
    clock, day, north, east, total, rows = 86_380_000, 17_120, 543_000_000, 70_000_000, 5_000, []
    still = gone = 0
    for _ in range(records):
        clock += draw.choice([200, 1_000, 1_000, 20_000, 0])
        clock, day = (clock - 86_400_000, day + draw.randint(0, 1)) if clock >= 86_400_000 else (clock, day)
        clock = max(0, clock - draw.choice([0] * 30 + [40_000, 4_000_000, 86_300_000]))
        still, gone = (max(count - 1, 0) or draw.choice([0] * 12 + [9]) for count in (still, gone))
        north, east = (north, east) if still else (north + draw.randint(1, 90), east + draw.choice([3] * 20 + [90_000]))
        lost = draw.choice([(0x7FFFFFFF, 0x7FFFFFFF), (0, 0), (0, 1_900_000_000), (950_000_000, 7)])
        total = total + 7 if draw.random() < 0.95 else 0
        values = [(index, value) for index, value in enumerate((2_000, total, 90_000_000)) if draw.random() < 0.5]
        values += values[:1] if draw.random() < 0.03 else []
        utc = (clock - 3_600_000) % 86_400_000
        time = draw.choice([clock] * 20 + [0xFFFFFFFF, 90_000_000])
        place = lost if gone else (north, east)
        height, status = draw.choice([9_000] * 20 + [9_000_000]), draw.choice([4] * 20 + [13])
        head = (time, day, *place, height, status, utc, day, len(values))
        rows.append(struct.pack("<IHiiiBIHB", *head) + b"".join(struct.pack("<Bi", *value) for value in values))
    return b"".join(rows)


@pytest.fixture
def parted(monkeypatch):
    """Return a function after which logs are read in pieces of so many bytes."""

    def start(size: int) -> None:
        monkeypatch.setattr(files, "PART", size)

    return start


@pytest.mark.parametrize("folder", heavy.some(SETS, 12), ids=lambda folder: folder.parent.name)
def test_samples_yield_the_same(folder, parted):
    expected = told(folder)
    for size in (1, 50, 333):
        parted(size)
        assert told(folder) == expected


@pytest.mark.parametrize("seed", range(heavy.examples(4)))
def test_logs_with_all_kinds_of_faults_yield_the_same(tmp_path, parted, seed):
    (tmp_path / "TASKDATA.XML").write_text(MAIN)
    (tmp_path / "TLG00001.XML").write_text(HEADER)
    (tmp_path / "TLG00001.BIN").write_bytes(hurt_log(seed))
    expected = told(tmp_path)
    assert len({rule for rule, *_ in expected if str(rule).startswith("timelog.")}) >= 8
    for size in (1, 41, 90, 700, 5_000):
        parted(size)
        assert told(tmp_path) == expected
