"""``taskdata merge`` on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path


def test_several_sets_become_one(run: Callable, samples: Path, tmp_path: Path) -> None:
    target = tmp_path / "season"
    done = run("merge", samples / "office", samples / "machine", target, "--to", "isoxml", "--json")
    assert done.code == 0
    document = json.loads(done.out)
    assert document["sources"] == [str(samples / "office"), str(samples / "machine")]
    assert document["written"]["tasks"] == 6
    assert (target / "TASKDATA" / "TASKDATA.XML").is_file()
    again = run("merge", samples / "office", target, "--to", "isoxml")
    assert again.code == 4
    over = run("merge", samples / "office", samples / "machine", target, "--to", "isoxml", "--overwrite")
    assert over.code == 0
    assert "In several sources" in over.out
    assert "TaskStatus of Task TSK1" in over.out


def test_a_dry_run_writes_nothing(run: Callable, samples: Path, tmp_path: Path) -> None:
    done = run("merge", samples / "office", samples / "office", tmp_path / "all.zip", "--dry-run")
    assert done.code == 0
    assert "Nothing was written" in done.out
    assert list(tmp_path.iterdir()) == []


def test_faults_end_with_their_code(run: Callable, samples: Path, tmp_path: Path) -> None:
    assert run("merge", samples / "office").code == 2
    mixed = run("merge", samples / "office", samples / "older", tmp_path / "all.zip")
    assert mixed.code == 2
    assert mixed.err.count("\n") == 1
    assert "taskdata convert" in mixed.err
    missing = run("merge", samples / "office", tmp_path / "nothing", tmp_path / "all.zip")
    assert missing.code == 3
