"""A catalogue grows by what is new; nothing else of it is touched, and a run that ends midway changes nothing."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

import taskdata
from taskdata.archives import adding, cataloguing, parts, place, projecting
from tests import samples
from tests.archives.conftest import files_in, rows

ROOT = Path(__file__).parents[2]


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    for number, source in enumerate(samples.STICKS):
        samples.copy(source, tmp_path / "archive" / str(number))
    return tmp_path / "archive"


@pytest.fixture
def out(archive: Path, tmp_path: Path, here: list[str]) -> Path:
    """A catalogue of the three sticks."""
    taskdata.catalogue(archive, tmp_path / "out")
    here.clear()
    return tmp_path / "out"


def test_called_again_nothing_is_touched(archive: Path, out: Path, here: list[str]) -> None:
    before, number = files_in(out), out.stat().st_ino
    result = taskdata.catalogue(archive, out)
    assert [(row.kept, row.exit) for row in result.sources] == [(True, 0)] * 3
    assert here == []
    assert (files_in(out), out.stat().st_ino) == (before, number)


def test_called_again_what_is_new_is_added(archive: Path, out: Path, here: list[str]) -> None:
    before = {name: found for name, found in files_in(out).items() if name.endswith(".parquet")}
    samples.copy(samples.OFFICE, archive / "new")
    result = taskdata.catalogue(archive, out)
    assert here == [row.source for row in result.sources if not row.kept]
    assert len(here) == 1
    after = files_in(out)
    assert before.items() <= after.items()
    added = {name for name in after if name.endswith(".parquet")} - before.keys()
    assert added
    assert {Path(name).name for name in added} == {"part-000002.parquet"}
    assert len(rows(out, "fields", "DISTINCT source")) == 4


def test_rows_of_sticks_that_are_gone_stay(archive: Path, out: Path) -> None:
    before = rows(out, "fields", "count(*)")
    shutil.rmtree(archive / "0")
    taskdata.catalogue(archive, out)
    assert rows(out, "fields", "count(*)") == before


def test_a_stick_that_moved_is_a_place_more_and_no_set_more(archive: Path, out: Path, here: list[str]) -> None:
    before = rows(out, "fields", "count(*)")
    (archive / "0").rename(archive / "moved")
    result = taskdata.catalogue(archive, out)
    assert here == []
    assert all(row.kept for row in result.sources)
    assert rows(out, "fields", "count(*)") == before
    assert rows(out, "sets", 'count(*), count(DISTINCT "set"), count(DISTINCT year)') == [(4, 3, 1)]


def test_what_cannot_be_read_is_listed_once_and_costs_no_other(archive: Path, out: Path) -> None:
    (archive / "1" / "TASKDATA" / "TASKDATA.XML").write_bytes(b"<ISO11783_TaskData")
    samples.copy(samples.OFFICE, archive / "new")
    for _ in range(2):
        result = taskdata.catalogue(archive, out)
        assert [row.exit for row in result.sources] == [0, 3, 0, 0]
        assert result.exit_code == 3
    ((source, error, year),) = rows(out, "sets", "source, error, year", "WHERE error IS NOT NULL")
    assert source == result.sources[1].source
    assert error == result.sources[1].error
    assert str(archive.parent / "out") not in error
    assert year == "unknown"
    assert len(rows(out, "fields", "DISTINCT source")) == 4


def test_a_catalogue_below_its_archive_is_no_source(archive: Path, here: list[str]) -> None:
    for _ in range(2):
        result = taskdata.catalogue(archive, archive / "catalogue")
        assert len(result.sources) == 3
    assert len(here) == 3


@pytest.mark.parametrize("where", ["carry_over", "sign"])
def test_an_interrupted_call_changes_nothing(
    where: str, archive: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    samples.copy(samples.OFFICE, archive / "new")
    before, beside = files_in(out), sorted(out.parent.iterdir())

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(cataloguing, where, stop)
        with pytest.raises(KeyboardInterrupt):
            taskdata.catalogue(archive, out)
    assert (files_in(out), sorted(out.parent.iterdir())) == (before, beside)


def test_a_killed_call_leaves_the_earlier_catalogue_and_the_next_goes_on(archive: Path, out: Path) -> None:
    samples.copy(samples.OFFICE, archive / "new")
    before = files_in(out)
    code = (
        "import os, taskdata\nfrom taskdata.archives import adding, parts\n"
        "adding.over_processes = lambda units, workers, memory, work: (row for row in map(work, units))\n"
        "parts._Part.finish = lambda part: os.kill(os.getpid(), 9)\n"
        f"taskdata.catalogue({str(archive)!r}, {str(out)!r})"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run([sys.executable, "-c", code], env=environment, check=False, capture_output=True)
    assert done.returncode == -signal.SIGKILL, done.stderr
    assert files_in(out) == before
    assert sorted(item.name for item in out.parent.iterdir()) != ["archive", "out"]
    taskdata.catalogue(archive, out)
    assert sorted(item.name for item in out.parent.iterdir()) == ["archive", "out"]
    assert len(rows(out, "fields", "DISTINCT source")) == 4


def test_files_are_copied_where_links_cannot_be_made(archive: Path, out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise OSError(1, "no links here")

    monkeypatch.setattr(place.os, "link", refuse)
    before = {name: found for name, found in files_in(out).items() if name.endswith(".parquet")}
    samples.copy(samples.OFFICE, archive / "new")
    taskdata.catalogue(archive, out)
    assert before.items() <= files_in(out).items()


def test_rows_are_written_some_at_a_time(archive: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = tmp_path / "whole"
    taskdata.catalogue(archive, whole)
    held: list[int] = []
    flush = parts._Part.flush

    def noted(part: parts._Part) -> None:
        held.append(len(part.rows))
        flush(part)

    monkeypatch.setattr(parts, "_ROWS", 2)
    monkeypatch.setattr(parts._Part, "flush", noted)
    taskdata.catalogue(archive, tmp_path / "pieces")
    assert max(held) <= 2
    assert len(held) > 12
    for layer in ("fields", "findings", "sets"):
        assert rows(whole, layer, "*", "ORDER BY ALL") == rows(tmp_path / "pieces", layer, "*", "ORDER BY ALL")


def test_a_set_that_changes_while_it_is_read_is_told(
    archive: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    digests = iter("abcdefghijkl")
    monkeypatch.setattr(projecting, "digest_of_source", lambda _: next(digests))
    with pytest.raises(taskdata.SourceError, match="was changed while it was read"):
        taskdata.catalogue(archive, tmp_path / "out")
    assert not (tmp_path / "out").exists()
    assert adding.FAILED == 2


def test_names_in_other_letters_than_utf8_are_told_apart(tmp_path: Path) -> None:
    folder = tmp_path / os.fsdecode(b"K\xfchle")
    samples.copy(samples.STICKS[0], folder / "good")
    (samples.copy(samples.STICKS[1], folder / "bad") / "TASKDATA.XML").write_bytes(b"<ISO11783_TaskData")
    result = taskdata.catalogue(folder, tmp_path / "out")
    assert [row.exit for row in result.sources] == [3, 0]
    sources = [source for (source,) in rows(tmp_path / "out", "sets", "source", "ORDER BY source")]
    assert [
        source.endswith(f"K\\udcfchle/{name}/TASKDATA") for source, name in zip(sources, ("bad", "good"), strict=True)
    ]
    assert all(row.kept == (row.exit == 0) for row in taskdata.catalogue(folder, tmp_path / "out").sources)
