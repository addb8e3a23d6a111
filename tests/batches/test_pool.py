"""Processes of this machine: a worker that dies, takes too much memory or is due costs nothing but itself."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

import taskdata
from taskdata.batches import pool
from taskdata.batches.unit import Call, Unit
from tests.batches import work
from tests.batches.conftest import files_in, told


def units(names: str, out: Path) -> Iterator[Unit]:
    call = Call("check", {}, str(out), "1")
    return (Unit(call, name, name, name) for name in names.split())


def test_a_worker_that_dies_costs_a_second_attempt_and_then_its_source(tmp_path: Path) -> None:
    names = "a once b always c d e f"
    rows = {row.source: row for row in pool.over_processes(units(names, tmp_path), 2, None, work.die_at_first)}
    assert sorted(rows) == sorted(names.split())
    failed = {name: row for name, row in rows.items() if row.exit}
    assert list(failed) == ["always"]
    assert failed["always"].error is not None
    assert "could not be finished: its worker died, twice (SIGKILL)" in failed["always"].error
    assert sorted(path.stem for path in tmp_path.iterdir()) == ["always", "once"]


@pytest.mark.skipif(sys.platform == "win32", reason="workers are not started by a process of their own there")
def test_a_lost_process_that_starts_workers_is_replaced(tmp_path: Path) -> None:
    names = "a b c starter e f"
    rows = list(pool.over_processes(units(names, tmp_path), 1, None, work.kill_what_starts_workers))
    assert sorted(row.source for row in rows) == sorted(names.split())
    failed = {row.source: row.error for row in rows if row.exit}
    assert list(failed) == ["starter"]
    assert "its worker died, twice" in str(failed["starter"])


def test_where_no_worker_starts_one_line_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(process: object) -> None:
        raise BlockingIOError(errno.EAGAIN, os.strerror(errno.EAGAIN))

    monkeypatch.setattr(pool.prepare().Process, "start", refused)  # type: ignore[attr-defined]
    monkeypatch.setattr(pool, "_LOOK_S", 0.0)
    with pytest.raises(taskdata.TargetError) as caught:
        list(pool.over_processes(units("a b", tmp_path), 2, None, work.row_of))
    assert str(caught.value).startswith("no worker can be started (Resource temporarily unavailable)")


@pytest.mark.skipif(not pool.can_bound(), reason="this system does not tell how much memory a process takes")
def test_a_worker_that_takes_too_much_memory_is_ended_and_told(tmp_path: Path) -> None:
    began = time.monotonic()
    rows = {
        row.source: row for row in pool.over_processes(units("a large b", tmp_path), 1, 500_000_000, work.take_memory)
    }
    assert time.monotonic() - began < 20.0  # it sleeps so long with what it took
    assert {name for name, row in rows.items() if row.error} == {"large"}
    assert "needs more memory than a worker may take (500 MB)" in str(rows["large"].error)
    assert "--memory-mb" in str(rows["large"].error)


def test_workers_are_replaced_after_some_sources(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = list(pool.over_processes(units("a b c d e f g", tmp_path), 1, None, work.renewed_after_two))
    assert [row.source for row in rows] == list("abcdefg")
    processes = [row.seconds for row in rows]
    assert len(set(processes)) == 4
    assert processes == sorted(processes, key=processes.index)


def test_the_pool_does_what_one_process_does(
    archive: Path, here: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    alone = taskdata.batch("check", archive, tmp_path / "alone", select="reference")
    monkeypatch.undo()
    several = taskdata.batch("check", archive, tmp_path / "several", select="reference", workers=2)
    assert told(several) == told(alone)
    contents = [
        {name: content for name, (content, _) in files_in(tmp_path / out / "results").items()}
        for out in ("alone", "several")
    ]
    assert contents[0] == contents[1]


def test_an_interrupt_ends_all_and_the_next_call_goes_on(archive: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    words = ["batch", "check", str(archive), "--out", str(out), "--workers", "2", "--json"]
    code = (
        f"from taskdata.batches import many; from tests.batches import work; many.run = work.slowly\n"
        f"from taskdata.cli import main; main({words!r})"
    )
    script = tmp_path / "go.py"
    script.write_text("if __name__ == '__main__':\n    " + code.replace("\n", "\n    "))
    process = subprocess.Popen(
        [sys.executable, str(script)],
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        while len(list(out.glob("finished/*/*.json"))) < 2:
            assert process.poll() is None
            time.sleep(0.02)
        os.killpg(process.pid, signal.SIGINT)
        printed, told_ = process.communicate(timeout=60)
    finally:
        process.kill()
    assert (process.returncode, printed, told_) == (130, "", "taskdata: interrupted\n")
    assert not (out / "summary.json").exists()
    assert list(out.rglob("*.part")) == []
    finished = len(list(out.glob("finished/*/*.json")))
    assert 2 <= finished < 12
    result = taskdata.batch("check", archive, out, workers=1)
    assert sum(row.kept for row in result.sources) == finished
    assert len(result.sources) == 12
