"""Catalogues made in this process: workers are looked at by tests of batches."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import duckdb
import pytest

from taskdata.archives import adding
from taskdata.batches.unit import Unit
from taskdata.results.batch import BatchedSource


@pytest.fixture(autouse=True)
def here(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Let a catalogue read sets in this process; returned are the sources that were read, not only looked at."""
    seen: list[str] = []

    def one_after_the_other(
        units: Iterator[Unit], workers: int, memory: int | None, work: Callable[[Unit], BatchedSource]
    ) -> Iterator[BatchedSource]:
        for unit in units:
            if work.__name__ == "project":
                seen.append(unit.source)
            yield work(unit)

    monkeypatch.setattr(adding, "over_processes", one_after_the_other)
    return seen


def rows(out: Path, layer: str, columns: str, more: str = "") -> list[tuple[Any, ...]]:
    """What DuckDB reads of a layer; ``set`` is a word of its own there."""
    with duckdb.connect() as database:
        found = database.execute(f"SELECT {columns} FROM '{out}/{layer}/*/*.parquet' {more}").fetchall()  # noqa: S608
    return list(found)


def groups(out: Path, layer: str) -> set[frozenset[tuple[str, str]]]:
    """Which things of a layer have one identity: each as its set and identifier."""
    found: dict[str, set[tuple[str, str]]] = {}
    for identity, digest, name in rows(out, layer, 'identity, "set", id'):
        found.setdefault(identity, set()).add((digest, name))
    return {frozenset(things) for things in found.values()}


def files_in(folder: Path) -> dict[str, tuple[bytes, int]]:
    """Content and time of change of every file below a folder."""
    return {
        str(path.relative_to(folder)): (path.read_bytes(), path.stat().st_mtime_ns)
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }
