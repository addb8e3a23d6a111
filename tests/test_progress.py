"""Floors below tell how far they are, to whoever watches, and do the same work where nobody does."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
import pytest

import taskdata
from taskdata import progress
from taskdata.checks.registry import rules
from taskdata.fieldwork.implement import Implement
from tests import samples


class Recorder:
    """Keeps every stage: what, unit, total, and how much was done of it."""

    def __init__(self) -> None:
        self.stages: list[tuple[str, str, int | None]] = []
        self.done: list[int] = []
        self.open: list[int] = []

    def begin(self, what: str, unit: str, total: int | None, *, about: bool) -> int:
        self.stages.append((what, unit, total))
        self.done.append(0)
        self.open.append(len(self.done) - 1)
        return self.open[-1]

    def advance(self, number: int, amount: int) -> None:
        assert number in self.open
        assert amount >= 0
        self.done[number] += amount

    def end(self, number: int) -> None:
        self.open.remove(number)

    def of(self, what: str) -> list[tuple[str, int | None, int]]:
        """Unit, total and what was done of every stage of that name."""
        return [
            (unit, total, done)
            for (name, unit, total), done in zip(self.stages, self.done, strict=True)
            if name == what
        ]


@contextmanager
def recorded() -> Iterator[Recorder]:
    recorder = Recorder()
    with progress.watched_by(recorder):
        yield recorder
    assert recorder.open == []


def records_of(source: Path) -> int:
    """How many records the logs of a set hold."""
    return sum(log.length or 0 for task in taskdata.read(source).tasks for log in task.logs)


def test_reading_tells_every_byte() -> None:
    with recorded() as found:
        assert taskdata.read(samples.MACHINE).findings == ()
    size = (samples.MACHINE / "TASKDATA.XML").stat().st_size
    binaries = sum(path.stat().st_size for path in samples.MACHINE.glob("*.BIN"))
    assert found.of("Reading TASKDATA.XML") == [("bytes", size, size)]
    assert found.of("Reading logs, grids and points") == [("bytes", binaries, binaries)]


def test_an_audit_tells_every_rule() -> None:
    with recorded() as found:
        taskdata.check(samples.OFFICE)
    ((unit, total, done),) = found.of("Applying rules")
    assert unit == "rules"
    assert total == done
    assert total is not None
    assert len(rules()) // 2 < total <= len(rules())


def test_a_file_that_is_cut_off_ends_its_stage(tmp_path: Path) -> None:
    source = samples.copy(samples.OFFICE, tmp_path)
    text = (source / "TASKDATA.XML").read_bytes()
    (source / "TASKDATA.XML").write_bytes(text[: len(text) // 2])
    with recorded() as found, pytest.raises(taskdata.SourceError):
        taskdata.read(source)
    assert found.stages


@pytest.mark.parametrize("target", ["layers", "farm.gpkg"])
def test_writing_layers_tells_every_row(target: str, tmp_path: Path) -> None:
    with recorded() as found:
        taskdata.convert(samples.MACHINE, tmp_path / target, to="parquet" if target == "layers" else None)
    ((unit, total, done),) = found.of("Writing layers")
    assert (unit, total) == ("rows", done)
    if target == "layers":
        rows = sum(pq.read_metadata(path).num_rows for path in (tmp_path / target).glob("*.parquet"))
        assert done == rows


def test_a_long_layer_of_geojson_is_told_in_pieces(tmp_path: Path) -> None:
    with recorded() as found:
        taskdata.convert(samples.MACHINE, tmp_path / "layers", to="geojson")
    records = records_of(samples.MACHINE)
    assert found.of("Writing log_records") == [("rows", records, records)]


def test_layers_are_read_file_by_file(tmp_path: Path) -> None:
    taskdata.convert(samples.OFFICE, tmp_path / "layers", to="geojson")
    files = len(list((tmp_path / "layers").glob("*.geojson")))
    with recorded() as found:
        taskdata.read(tmp_path / "layers")
    assert found.of("Reading layers") == [("files", files, files)]
    ((unit, elements, done),) = found.of("Rebuilding the set")
    assert (unit, elements) == ("elements", done)


@pytest.mark.parametrize("target", ["out", "out.zip"])
def test_writing_a_set_tells_every_byte(target: str, tmp_path: Path) -> None:
    with recorded() as found:
        taskdata.convert(samples.MACHINE, tmp_path / target, to="isoxml")
    ((unit, total, done),) = found.of("Writing files")
    read = sum(path.stat().st_size for path in samples.MACHINE.iterdir() if path.is_file())
    assert (unit, total) == ("bytes", read)
    if target == "out":
        assert done == sum(path.stat().st_size for path in (tmp_path / target / "TASKDATA").iterdir())


def test_a_merge_tells_every_set(tmp_path: Path) -> None:
    with recorded() as found:
        taskdata.merge(samples.STICKS, tmp_path / "season")
    assert found.of("Reading") == [("sets", 3, 3)]


def test_coverage_tells_every_record() -> None:
    with recorded() as found:
        taskdata.coverage(samples.MACHINE, implement=Implement(width_m=24.0))
    records = records_of(samples.MACHINE)
    assert records > 10_000
    assert found.of("Computing coverage") == [("records", records, records)]


def test_a_cleaning_tells_every_repair(tmp_path: Path) -> None:
    with recorded() as found:
        taskdata.clean(samples.BROKEN, tmp_path / "clean")
    rounds = found.of("Repairing")
    assert rounds
    assert all(unit == "repairs" and total == done for unit, total, done in rounds)


def test_being_watched_changes_nothing() -> None:
    def audit() -> Any:
        return [(finding.rule.id, finding.place) for finding in taskdata.check(samples.BROKEN).findings]

    alone = audit()
    with recorded():
        assert audit() == alone


def test_nobody_is_told_outside_the_block() -> None:
    with recorded() as found:
        list(progress.each("ab", "Within", "letters"))
    list(progress.each("abc", "Outside", "letters"))
    assert found.of("Within") == [("letters", 2, 2)]
    assert found.of("Outside") == []


def test_a_stage_ends_where_its_work_fails() -> None:
    def divide() -> None:
        with progress.stage("Dividing", "numbers", 3) as advance:
            advance(1)
            raise ZeroDivisionError

    with recorded() as found, pytest.raises(ZeroDivisionError):
        divide()
    assert found.of("Dividing") == [("numbers", 3, 1)]
