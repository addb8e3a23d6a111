"""What is kept in a file is what was put into it, and logs read from one say what their text says."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pyarrow as pa
import pytest

import taskdata
from taskdata import mapped
from taskdata.formats.some_rows import some_rows
from taskdata.formats.spooling import Spool, put_back
from taskdata.mapped import large_array


@pytest.fixture(params=[1 << 25, 0], ids=["in memory", "in a file"])
def _kept(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(mapped, "IN_MEMORY", request.param)


def batches() -> list[pa.RecordBatch]:
    return [
        pa.record_batch({"n": pa.array(range(first, first + 7)), "t": pa.array([None, *map(str, range(6))])})
        for first in range(0, 70, 7)
    ]


@pytest.mark.usefixtures("_kept")
def test_a_table_is_what_was_added() -> None:
    spool = Spool()
    for batch in batches():
        spool.add(batch)
    table = spool.table()
    assert table is not None
    put_back()
    assert table.equals(pa.Table.from_batches(batches()))


def test_nothing_makes_no_table() -> None:
    assert Spool().table() is None


@pytest.mark.usefixtures("_kept")
def test_an_array_keeps_what_is_written_when_its_memory_is_given_back() -> None:
    array = large_array((50_000, 2), "f8")
    assert not array.any()
    array[:] = np.arange(100_000.0).reshape(-1, 2)
    put_back()
    assert np.array_equal(array, np.arange(100_000.0).reshape(-1, 2))


def test_some_rows_are_rows_of_the_table_from_all_over_it() -> None:
    table = pa.Table.from_batches(batches() * 100)
    found = some_rows(table, 500)
    numbers = [row["n"] for row in found.to_pylist()]
    assert len(found) == 500
    assert set(numbers) <= set(range(70))
    assert some_rows(table, 7000).equals(table)
    assert len(some_rows(table["t"], 100)) == 100


@pytest.mark.usefixtures("_kept")
def test_a_log_is_the_same_in_memory_and_in_a_file(tmp_path: Path) -> None:
    """Against Python's csv module and numpy's own reading of the times."""
    rows = [(f"2025-04-03T06:{n // 60:02d}:{n % 60:02d}.250Z", 7.0 + n * 1e-5, 54.3 - n * 2e-6) for n in range(900)]
    path = tmp_path / "log.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([("time", "lon", "lat"), *rows])
    (task,) = taskdata.read(path).tasks
    records = task.logs[0].records
    assert records is not None
    times = np.array([text.rstrip("Z") for text, _, _ in rows], dtype="datetime64[ms]")
    assert np.array_equal(records.time, times)
    assert np.array_equal(records.lon, [lon for _, lon, _ in rows])
    assert np.array_equal(records.lat, [lat for _, _, lat in rows])
    assert np.array_equal(records.extras["GpsUtcTime"], (times - times.astype("datetime64[D]")).astype(np.int64))
