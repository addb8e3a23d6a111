"""What a full audit costs.

Of 100 MB as ratio to parsing and schema validation by lxml, of a log as ratio to decoding it. Imports are not counted.
"""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import numpy as np
from lxml import etree
from numpy.typing import NDArray

from taskdata import api
from taskdata.resources import schema_bytes
from tests.benchmarks.measure import apart, show

api.rules()  # loads every rule, which each process does once
FIELDS = 21_000
POINTS = 100
RECORDS = 2_000_000
AT_ONCE = 1_000_000
ROUNDS = 3
HEADER = """<?xml version="1.0" encoding="UTF-8"?>
<TIM A="" D="4"><PTN A="" B="" D=""/><DLV A="008D" B="" C="DET1"/><DLV A="0007" B="" C="DET1"/></TIM>
"""
MAIN = """<?xml version="1.0" encoding="UTF-8"?>
<ISO11783_TaskData VersionMajor="4" VersionMinor="3" ManagementSoftwareManufacturer="Hof Ahrenbrook" \
ManagementSoftwareVersion="1" DataTransferOrigin="1">
<PFD A="PFD1" C="Kuhle" D="2000000"><PLN A="1"><LSG A="1"><PNT A="2" C="54.2" D="6.9"/><PNT A="2" C="54.2" D="7.9"/>\
<PNT A="2" C="54.5" D="7.9"/><PNT A="2" C="54.5" D="6.9"/><PNT A="2" C="54.2" D="6.9"/></LSG></PLN></PFD>
<TSK A="TSK1" E="PFD1" G="4"><TLG A="TLG00001"/></TSK>
</ISO11783_TaskData>
"""


def run(fields: int = FIELDS, records: int = RECORDS, rounds: int = ROUNDS) -> dict[str, float]:
    """Print and return seconds and peak MiB of the audits and of what they are measured against."""
    with tempfile.TemporaryDirectory() as folder:
        farm, log = Path(folder) / "fields", Path(folder) / "log"
        farm.mkdir()
        log.mkdir()
        write_fields(farm / "TASKDATA.XML", fields)
        write_log(log, records)
        size = (farm / "TASKDATA.XML").stat().st_size / 1e6
        of_fields = apart(__name__, ["validation", "audit"], [str(farm)], rounds)
        of_log = apart(__name__, ["decoding", "audit"], [str(log)], rounds)
    _show(f"Checking {size:.0f} MB, {fields * POINTS} points", "validation", "lxml: parse, validate", of_fields, rounds)
    _show(f"Checking a log of {records} records", "decoding", "decode alone", of_log, rounds)
    return {
        "fields_to_lxml": of_fields["audit"][0] / of_fields["validation"][0],
        "log_to_decoding": of_log["audit"][0] / of_log["decoding"][0],
    }


def validation(folder: str) -> bool:
    """Parse with lxml and validate against the schema of the version."""
    schema = etree.XMLSchema(etree.fromstring(schema_bytes("TASKDATA-4.3.xsd")))
    return bool(schema.validate(etree.parse(Path(folder) / "TASKDATA.XML")))


def decoding(folder: str) -> Any:
    """Read the set and decode its log."""
    return [task.logs[0].records for task in api.read(folder).tasks]


def audit(folder: str) -> Any:
    """Audit a set."""
    return api.check(folder)


def write_fields(path: Path, count: int) -> None:
    """Write so many fields of about 9 ha side by side, each a closed ring of 100 points, about 4.8 kB a field."""
    angles = np.linspace(0.0, 2.0 * np.pi, POINTS)
    across = int(np.ceil(np.sqrt(count)))
    with path.open("w", encoding="utf-8") as stream:
        stream.write(f'{MAIN.partition("<PFD")[0]}<CTR A="CTR1" B="Hof"/>\n')
        for at in range(count):
            north, east = 50.0 + at // across * 0.0035, 7.0 + at % across * 0.006
            ring = np.column_stack([north + 0.0015 * np.sin(angles), east + 0.0025 * np.cos(angles)])
            ring[-1] = ring[0]
            points = "".join(f'<PNT A="2" C="{lat:.9f}" D="{lon:.9f}"/>\n' for lat, lon in ring.tolist())
            area = np.pi * 0.0015 * 111_250 * 0.0025 * 111_320 * np.cos(np.radians(north))
            stream.write(f'<PFD A="PFD{at + 1}" C="Schlag {at}" D="{area:.0f}" E="CTR1"><PLN A="1"><LSG A="1">\n')
            stream.write(f"{points}</LSG></PLN></PFD>\n")
        stream.write("</ISO11783_TaskData>\n")


def write_log(folder: Path, records: int) -> None:
    """Write a set with a log of so many records at 5 Hz: days of passes, positions with status, two values each."""
    (folder / "TASKDATA.XML").write_text(MAIN, encoding="utf-8")
    (folder / "TLG00001.XML").write_text(HEADER, encoding="utf-8")
    with (folder / "TLG00001.BIN").open("wb") as file:
        for first in range(0, records, AT_ONCE):
            file.write(_rows(np.arange(first, min(first + AT_ONCE, records))))


def _rows(number: NDArray[np.intp]) -> bytes:
    """Return records by their numbers, as they are stored."""
    kind = np.dtype(
        [("ms", "<u4"), ("day", "<u2"), ("north", "<i4"), ("east", "<i4"), ("status", "u1"), ("count", "u1")]
    )
    row = np.dtype([*kind.descr, ("i0", "u1"), ("v0", "<i4"), ("i1", "u1"), ("v1", "<i4")])
    day, step = np.divmod(number, 100_000)
    line, along = np.divmod(step, 2_000)
    rows = np.zeros(number.size, row)
    rows["ms"], rows["day"] = 18_000_000 + step * 200, 16_100 + day
    rows["north"] = 542_100_000 + np.where(line % 2, 2_000 - along, along) * 4 + day * 10_000
    rows["east"] = 69_500_000 + line * 400
    rows["status"], rows["count"], rows["i1"] = 4, 2, 1
    rows["v0"], rows["v1"] = (along > 50) & (along < 1_950), 20_000 + along % 7
    return rows.tobytes()


def _show(title: str, floor: str, words: str, found: dict[str, tuple[float, float]], rounds: int) -> None:
    rows = [("what", "CPU seconds", "ratio", "peak MiB", "ratio")]
    for name, told in ((floor, words), ("audit", "full audit")):
        seconds, peak = found[name]
        ratios = (seconds / found[floor][0], peak / found[floor][1])
        rows.append((told, f"{seconds:.2f}", f"{ratios[0]:.2f}", f"{peak:.0f}", f"{ratios[1]:.2f}"))
    show(f"{title} (median of {rounds})", rows)
