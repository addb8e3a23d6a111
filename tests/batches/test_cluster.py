"""Workers of a Dask scheduler: what is lost with one of them is done by another, and counted once."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

import taskdata
from taskdata.batches import many
from taskdata.cli import main
from tests.batches import servers, work
from tests.batches.conftest import files_in, told

RESULTS = 12


def when(finished: int, out: Path, act: Callable[[], object]) -> threading.Thread:
    """Act as soon as so many sources are finished."""

    def watch() -> None:
        ends = time.monotonic() + servers.PATIENCE_S
        while len(list(out.glob("finished/*/*.json"))) < finished and time.monotonic() < ends:
            time.sleep(0.01)
        act()

    thread = threading.Thread(target=watch)
    thread.start()
    return thread


def test_a_killed_worker_changes_nothing_and_a_lost_scheduler_ends_what_goes_on_later(
    archive: Path,
    here: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    alone = taskdata.batch("check", archive, tmp_path / "alone", select="reference")
    monkeypatch.setattr(many, "run", work.slowly)
    with servers.scheduler(tmp_path) as (server, address):
        with servers.workers(tmp_path, address) as processes:
            watch = when(3, tmp_path / "out", processes[0].kill)
            result = taskdata.batch("check", archive, tmp_path / "out", scheduler=address, select="reference")
            watch.join()
            assert processes[0].wait(10) < 0
        assert told(result) == told(alone)
        contents = [
            {name: content for name, (content, _) in files_in(tmp_path / out / "results").items()}
            for out in ("alone", "out")
        ]
        assert contents[0] == contents[1]

        with servers.workers(tmp_path, address, 1):
            watch = when(3, tmp_path / "lost", server.kill)
            words = ["batch", "check", str(archive), "--out", str(tmp_path / "lost"), "--scheduler", address]
            with pytest.raises(SystemExit) as ended:
                main([*words, "--", "--select", "reference"])
            watch.join()
    assert ended.value.code == 4
    remedy = "Start it again and repeat the call: what is finished is kept"
    assert capfd.readouterr() == ("", f"taskdata: {address}: was lost. {remedy}\n")
    assert not (tmp_path / "lost" / "summary.json").exists()
    finished = len(list((tmp_path / "lost").glob("finished/*/*.json")))
    assert 3 <= finished < RESULTS
    again = taskdata.batch("check", archive, tmp_path / "lost", select="reference")
    assert told(again) == told(alone)
    assert sum(row.kept for row in again.sources) == finished


def test_no_scheduler_is_told_in_one_line(archive: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("taskdata.batches.cluster._CONNECT_S", 1)
    with pytest.raises(taskdata.TargetError, match="cannot be reached") as told_:
        taskdata.batch("check", archive, tmp_path / "out", scheduler="tcp://127.0.0.1:9")
    assert "\n" not in str(told_.value)
    assert told_.value.exit_code == 4
