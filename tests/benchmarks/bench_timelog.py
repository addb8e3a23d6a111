"""How fast time logs decode, and are looked through for ``inspect``, as ratios to a floor; judge medians only.

Floor: numpy.fromfile of a file of the same size as fixed records, and a contiguous copy of every column.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np

from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.timelog.decode import decode
from taskdata.isoxml.timelog.encode import encode
from taskdata.isoxml.timelog.layout import Layout, LogHeader
from taskdata.isoxml.timelog.log import TimeLog
from taskdata.isoxml.timelog.scan import PIECE, scan
from tests.benchmarks.measure import alternating

RECORDS = 2_000_000
REPEATS = 7
SEED = 20260504
BASE = {"PositionNorth": 542_000_000, "PositionEast": 69_000_000, "TimeStartDate": 16_000}


def run(records: int = RECORDS) -> dict[str, float]:
    """Print and return the median ratios for constant counts, long runs and random counts of values."""
    random = np.random.default_rng(SEED)
    lengths = random.geometric(1 / 300, records // 200)
    runs = np.repeat(random.integers(0, 13, lengths.size), lengths)[:records]
    cases = {
        "constant": np.full(records, 6),
        "runs": np.pad(runs, (0, records - runs.size), mode="edge"),
        "random": random.integers(0, 13, records),
    }
    ratios = {name: _case(name, counts, random) for name, counts in cases.items()}
    return {f"{name}, {job}": ratio for name, found in ratios.items() for job, ratio in found.items()}


def _case(name: str, counts: np.ndarray, random: np.random.Generator) -> dict[str, float]:
    layout = _layout()
    data = encode(_log(layout, counts, random))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "TLG00001.BIN")
        path.write_bytes(data)
        blob = Blob(path.name, len(data), lambda: path.open("rb"))
        jobs = {
            "floor": lambda: _floor(path),
            "decode": lambda: decode(np.fromfile(path, dtype=np.uint8), layout).record,
            "look through": lambda: scan(lambda: blob.pieces(PIECE), layout),
        }
        found = alternating(jobs, REPEATS)
    floor = found.pop("floor")
    ratios = {job: seconds / floor for job, seconds in found.items()}
    told = ", ".join(f"{job} {found[job] * 1e3:.0f} ms, {ratio:.2f} x" for job, ratio in ratios.items())
    print(f"{name}: {len(data) / 1e6:.0f} MB, floor {floor * 1e3:.0f} ms, {told}")  # noqa: T201  # a benchmark prints
    return ratios


def _layout() -> Layout:
    value = {"A": "0001", "B": "", "C": "DET-1"}
    position = {"A": "", "B": "", "D": ""}
    return Layout.of(LogHeader({"A": "", "D": "4"}, position, (value,) * 12))


def _log(layout: Layout, counts: np.ndarray, random: np.random.Generator) -> TimeLog:
    columns = {field.name: random.integers(0, 200, counts.size) + BASE.get(field.name, 0) for field in layout.fields}
    record = np.repeat(np.arange(counts.size), counts)
    index = np.arange(record.size) - np.repeat(np.cumsum(counts) - counts, counts)
    return TimeLog.build(layout, columns, record, index, random.integers(-(2**31), 2**31, record.size))


def _floor(path: Path) -> list[np.ndarray]:
    fixed = np.dtype(
        [("time", "<u4"), ("day", "<u2"), ("north", "<i4"), ("east", "<i4"), ("status", "u1"), ("count", "u1")]
        + [item for i in range(6) for item in ((f"index{i}", "u1"), (f"value{i}", "<i4"))]
    )
    whole = path.stat().st_size // fixed.itemsize
    table = np.fromfile(path, dtype=fixed, count=whole)
    return [np.ascontiguousarray(table[column]) for column in fixed.names or ()]


if __name__ == "__main__":
    run()
