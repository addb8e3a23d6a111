"""An archive of generated sets, and batches done in this process: workers are looked at by tests of their own."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from taskdata.batches import many
from taskdata.batches.unit import Unit
from taskdata.results.batch import Batch, BatchedSource
from tests.generate import build

FEATURES = frozenset({"grids", "time logs", "holes"})


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    """Twelve sets: in folders at several depths, and in archives; one set as layers is missing."""
    home = tmp_path / "archive"
    for seed in range(8):
        build(seed, 4, FEATURES, 1).write(home / f"{2020 + seed % 2}" / f"stick {seed}" / "TASKDATA")
    for seed in range(8, 10):
        build(seed, 3, FEATURES, 1).write(tmp_path / "packed" / "TASKDATA")
        shutil.make_archive(str(home / "zips" / f"stick {seed}"), "zip", tmp_path / "packed")
        shutil.rmtree(tmp_path / "packed")
    for seed in range(10, 12):
        build(seed, 4, FEATURES, 1).write(tmp_path / "packed" / f"cab {seed}" / "TASKDATA")
    shutil.make_archive(str(home / "zips" / "two"), "zip", tmp_path / "packed")
    shutil.rmtree(tmp_path / "packed")
    return home


@pytest.fixture
def here(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Let a batch do its units in this process; returned are the sources that were looked at."""
    seen: list[str] = []

    def one_after_the_other(
        units: Iterator[Unit], workers: int, memory: int | None, work: Callable[[Unit], BatchedSource]
    ) -> Iterator[BatchedSource]:
        for unit in units:
            seen.append(unit.source)
            yield work(unit)

    monkeypatch.setattr(many, "over_processes", one_after_the_other)
    return seen


def told(result: Batch) -> list[tuple[Any, ...]]:
    """What a batch says of its sources, without seconds and whether it was kept."""
    return [
        (row.source, row.digest, row.exit, row.result, row.document, row.error, row.bounds, dict(row.counts))
        for row in result.sources
    ]


def files_in(folder: Path) -> dict[str, tuple[bytes, int]]:
    """Content and time of change of every file below a folder, without what the last call wrote."""
    return {
        str(path.relative_to(folder)): (path.read_bytes(), path.stat().st_mtime_ns)
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.startswith("summary.")
    }
