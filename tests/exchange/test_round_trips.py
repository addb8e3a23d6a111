"""ISO-XML to every format and back: the same set, shown by comparing documents and by the proof of ``convert``."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from taskdata.exchange.behind import document_behind
from taskdata.exchange.convert import convert, write
from taskdata.exchange.load import load
from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.tree.differences import differences
from tests import samples
from tests.formats.exchange import FORMATS, file_target
from tests.generate import FileSetContent, file_sets
from tests.heavy import examples

TARGETS = {"isoxml": "stick"} | {form: str(file_target(Path(), form)) for form in FORMATS}
SETS = {path.parent.name: path for path in (*samples.SOUND, samples.BROKEN)}


@pytest.mark.parametrize("to", TARGETS)
@pytest.mark.parametrize("name", SETS)
def test_a_sample_comes_back_whole(name: str, to: str, tmp_path: Path) -> None:
    there = convert(SETS[name], tmp_path / TARGETS[to], to=to)
    back = convert(tmp_path / TARGETS[to], tmp_path / "back", to="isoxml")
    before, after = read_document(SETS[name]), read_document(tmp_path / "back")
    assert list(differences(before, after)) == []
    if to != "isoxml":
        assert (there.losses, back.losses) == ((), ()) or name in {"older", "broken"}
        assert there.losses == ()


@pytest.mark.parametrize("name", SETS)
def test_records_and_cells_come_back_equal(name: str, tmp_path: Path) -> None:
    convert(SETS[name], tmp_path / "farm.gpkg")
    before, after = load(SETS[name]).dataset, load(tmp_path / "farm.gpkg").dataset
    assert before.counts == after.counts
    for old, new in zip(before.tasks, after.tasks, strict=True):
        if old.grid is not None and old.grid.cells is not None:
            assert new.grid is not None
            np.testing.assert_array_equal(old.grid.cells, new.grid.cells)
        for left, right in zip(old.logs, new.logs, strict=True):
            if left.records is not None:
                assert right.records is not None
                np.testing.assert_array_equal(left.records.value, right.records.value)
                np.testing.assert_array_equal(left.records.lon, right.records.lon)


@pytest.mark.parametrize("to", TARGETS)
@settings(max_examples=examples(5), suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(content=file_sets(small=True))
def test_any_valid_set_comes_back_whole(
    content: FileSetContent, to: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("set")
    source = content.write(folder / "TASKDATA")
    result = convert(source, folder / TARGETS[to], to=to, verify=True)
    if to != "isoxml":
        assert result.losses == ()
    convert(folder / TARGETS[to], folder / "back", to="isoxml")
    assert list(differences(read_document(source), read_document(folder / "back"))) == []


def test_a_dry_run_has_the_same_ledger_and_writes_nothing(tmp_path: Path) -> None:
    for to, target in TARGETS.items():
        dry = convert(samples.OLDER, tmp_path / target, to=to, dry_run=True)
        assert list(tmp_path.iterdir()) == []
        real = convert(samples.OLDER, tmp_path / target, to=to)
        assert (dry.losses, dry.written) == (real.losses, real.written)
        for item in tmp_path.rglob("*"):
            if item.is_file():
                item.unlink()
        for item in sorted(tmp_path.rglob("*"), reverse=True):
            item.rmdir()


def test_records_written_as_they_are_give_the_same_set(tmp_path: Path) -> None:
    write(load(samples.OFFICE).dataset, tmp_path / "stick", to="isoxml")
    document = document_behind(load(tmp_path / "stick").dataset)
    assert document is not None
    assert list(differences(read_document(samples.OFFICE), document)) == []
