"""What the layer of readable values costs: a log to layers and back with it, to the same with the stored form alone."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np

from taskdata.exchange.convert import convert
from tests.benchmarks.measure import apart, show

RECORDS = 1_000_000
ROUNDS = 3
FORMATS = ("gpkg", "parquet")
_DDIS = ("0002", "0001", "008D", "0043", "0050", "0074", "0075", "0076", "0077", "018D", "00A1", "004C")
_RECORD = np.dtype(
    [
        ("ms", "<u4"),
        ("day", "<u2"),
        ("lat", "<i4"),
        ("lon", "<i4"),
        ("status", "u1"),
        ("count", "u1"),
        ("values", [("index", "u1"), ("value", "<i4")], (6,)),
    ]
)
_SET = """<?xml version="1.0" encoding="UTF-8"?>
<ISO11783_TaskData VersionMajor="4" VersionMinor="3" ManagementSoftwareManufacturer="Hof Ahrenbrook"
 ManagementSoftwareVersion="1" TaskControllerManufacturer="Hof Ahrenbrook" TaskControllerVersion="1"
 DataTransferOrigin="2"><TSK A="TSK1" G="4"><TLG A="TLG00001" C="1"/></TSK></ISO11783_TaskData>"""


def run(records: int = RECORDS, rounds: int = ROUNDS) -> dict[str, float]:
    """Print and return the ratio of each way and format, in CPU seconds of a process each."""
    rows = [("what", "seconds", "without", "ratio", "MiB", "without")]
    ratios = {}
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "TASKDATA"
        _write(source, records)
        for name in FORMATS:
            for job in ("there", "back"):
                values, alone = (_measured(job, source, name, raw, rounds) for raw in (False, True))
                what = f"{name}, {job}"
                ratios[what] = values[0] / alone[0]
                figures = (values[0], alone[0], ratios[what])
                rows.append((what, *(f"{item:.2f}" for item in figures), f"{values[1]:.0f}", f"{alone[1]:.0f}"))
    show(f"A log of {records} records with 12 quantities (median of {rounds})", rows)
    return ratios


def _measured(job: str, source: Path, name: str, raw: bool, rounds: int) -> tuple[float, float]:
    place = source.parent / f"{name}{raw}{'.gpkg' if name == 'gpkg' else ''}"
    if job == "there":
        arguments = [str(source), str(place), name, "raw" if raw else ""]
    else:
        there(str(source), str(place), name, "raw" if raw else "")
        arguments = [str(place), str(source.parent / "back")]
    return apart("tests.benchmarks.bench_logs", [job], arguments, rounds)[job]


def there(source: str, target: str, name: str, raw: str) -> None:
    """Write a set as layers."""
    convert(source, target, to=name, raw=bool(raw), overwrite=True)


def back(source: str, target: str) -> None:
    """Write layers as a set."""
    convert(source, target, to="isoxml", overwrite=True)


def _write(place: Path, count: int) -> None:
    """Write a set with one log, six of twelve quantities in a record."""
    place.mkdir()
    header = "".join(f'<DLV A="{ddi}" B="" C="DET2"/>' for ddi in _DDIS)
    (place / "TLG00001.XML").write_text(f'<TIM A="" D="4"><PTN A="" B="" D=""/>{header}</TIM>', encoding="utf-8")
    (place / "TASKDATA.XML").write_text(_SET, encoding="utf-8")
    records, at, random = np.zeros(count, _RECORD), np.arange(count), np.random.default_rng(1)
    records["ms"], records["day"] = at * 200 % 86_400_000, 16_179 + at * 200 // 86_400_000
    records["lat"], records["lon"] = 543_000_000 + at % 5_000 * 20, 70_000_000 + at // 5_000 * 300
    records["status"], records["count"] = 4, 6
    for place_of in range(6):
        records["values"][:, place_of]["index"] = 2 * place_of + at % 2
        records["values"][:, place_of]["value"] = random.integers(0, 3_000, count)
    records.tofile(place / "TLG00001.BIN")
