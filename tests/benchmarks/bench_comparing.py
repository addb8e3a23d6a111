"""What a comparison costs, as ratio to reading both sets.

Of 100 MB of fields against the same and against the same moved by 0.6 m to the north-east, as another datum does; of a
log of 2,000,000 records against one with one value changed. Imports are not counted.
"""

from __future__ import annotations

import re
import shutil
import tempfile
from pathlib import Path
from typing import Any

from taskdata import api
from tests.benchmarks.bench_checking import FIELDS, POINTS, RECORDS, write_fields, write_log
from tests.benchmarks.measure import apart, show

ROUNDS = 3
NORTH, EAST = 3.8e-6, 6.5e-6
"""Degrees of the shift."""

_POINT = re.compile(r'C="(\d+\.\d+)" D="(\d+\.\d+)"')


def run(fields: int = FIELDS, records: int = RECORDS, rounds: int = ROUNDS) -> dict[str, float]:
    """Print and return seconds and peak MiB of comparing, as ratios to reading both."""
    ratios = {}
    with tempfile.TemporaryDirectory() as folder:
        farm, moved, log, other = (Path(folder) / name for name in ("fields", "moved", "log", "other"))
        for made in (farm, moved, log):
            made.mkdir()
        write_fields(farm / "TASKDATA.XML", fields)
        _move(farm / "TASKDATA.XML", moved / "TASKDATA.XML")
        write_log(log, records)
        shutil.copytree(log, other)
        _change(other / "TLG00001.BIN")
        size = (farm / "TASKDATA.XML").stat().st_size / 1e6
        for name, words, pair in (
            ("equal", f"{size:.0f} MB, {fields * POINTS} points, against itself", (farm, farm)),
            ("shifted", f"{size:.0f} MB, {fields * POINTS} points, against the same moved", (farm, moved)),
            ("log", f"a log of {records} records against one with another value", (log, other)),
        ):
            found = apart(__name__, ["reading", "comparing"], [str(item) for item in pair], rounds)
            ratios[name] = found["comparing"][0] / found["reading"][0]
            _show(f"Comparing {words} (median of {rounds})", found)
    return ratios


def reading(first: str, second: str) -> Any:
    """Read both sets, and decode their logs."""
    both = [api.read(first), api.read(second)]
    return both, [log.records for data in both for task in data.tasks for log in task.logs]


def comparing(first: str, second: str) -> Any:
    """Read and compare both sets."""
    return api.compare(first, second)


def _move(source: Path, target: Path) -> None:
    def moved(found: re.Match[str]) -> str:
        return f'C="{float(found[1]) + NORTH:.9f}" D="{float(found[2]) + EAST:.9f}"'

    with source.open(encoding="utf-8") as lines, target.open("w", encoding="utf-8") as stream:
        stream.writelines(_POINT.sub(moved, line) for line in lines)


def _change(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[-1] ^= 1
    path.write_bytes(content)


def _show(title: str, found: dict[str, tuple[float, float]]) -> None:
    rows = [("what", "CPU seconds", "ratio", "peak MiB", "ratio")]
    for name in ("reading", "comparing"):
        seconds, peak = found[name]
        ratios = (seconds / found["reading"][0], peak / found["reading"][1])
        rows.append((f"{name} both", f"{seconds:.2f}", f"{ratios[0]:.2f}", f"{peak:.0f}", f"{ratios[1]:.2f}"))
    show(title, rows)
