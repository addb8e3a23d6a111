"""``taskdata clean`` on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path


def test_a_dry_run_shows_the_journal_and_writes_nothing(run: Callable, samples: Path, tmp_path: Path) -> None:
    result = run("clean", samples / "broken", tmp_path / "s", "--review", "--dry-run")
    assert result.code == 0
    assert "REVIEW" in result.out
    assert "drive the first pass by eye" in " ".join(result.out.split())
    assert list(tmp_path.iterdir()) == []


def test_json_is_the_journal(run: Callable, samples: Path, tmp_path: Path) -> None:
    result = run("clean", samples / "broken", tmp_path / "s", "--json")
    document = json.loads(result.out)
    assert document["changes"]
    assert all(change["standing"] == "safe" for change in document["changes"])
    assert json.loads((tmp_path / "s" / "TASKDATA.journal.json").read_text())["changes"] == document["changes"]
    checked = json.loads(run("check", samples / "broken", "--format", "json").out)
    assert {item["repair"] for item in checked["findings"]} == {"safe", "review", None}


def test_unknown_names_are_wrong_usage(run: Callable, samples: Path, tmp_path: Path) -> None:
    result = run("clean", samples / "broken", tmp_path / "s", "--only", "no.such")
    assert result.code == 2
    assert result.err.count("\n") == 1
