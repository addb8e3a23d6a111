"""Logs that stand in records alone are written as header and binary file, and come back as they were."""

from __future__ import annotations

from pathlib import Path

import numpy as np

import taskdata
from tests.samples import SAMPLES


def test_logs_of_records_alone_come_back(tmp_path: Path) -> None:
    source = taskdata.read(SAMPLES / "machine")
    taskdata.write(source.with_changes(lossless=None), tmp_path / "stick", to="isoxml")
    back = taskdata.read(tmp_path / "stick")
    logs = [log for task in source.tasks for log in task.logs]
    again = [log for task in back.tasks for log in task.logs]
    assert [(log.file, log.length) for log in again] == [(log.file, log.length) for log in logs]
    for log, other in zip(logs, again, strict=True):
        assert [(item.ddi, item.part) for item in other.quantities] == [
            (item.ddi, item.part) for item in log.quantities
        ]
        one, two = log.records, other.records
        assert one is not None
        assert two is not None
        for name in ("time", "value_record", "value_index", "value", "status"):
            assert np.array_equal(getattr(one, name), getattr(two, name)), name
        for name in ("lon", "lat"):
            assert np.array_equal(getattr(one, name), getattr(two, name), equal_nan=True), name
        assert (one.up_m is None) == (two.up_m is None)
        assert one.up_m is None or np.array_equal(one.up_m, two.up_m, equal_nan=True)
        assert {key: list(column) for key, column in two.extras.items()} == {
            key: list(column) for key, column in one.extras.items()
        }
