"""``taskdata clean`` on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

RULES = Path(__file__).parents[1] / "rules"


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


@pytest.mark.parametrize(
    "rule", ["byte-order-mark", "folder-in-other-case", "name-in-other-case", "not-utf-8", "other-encoding"]
)
def test_what_is_left_is_what_a_check_of_the_target_finds(run: Callable, tmp_path: Path, rule: str) -> None:
    source, target = RULES / f"file.{rule}" / "bad", tmp_path / "s"
    document = json.loads(run("clean", source, target, "--review", "--json").out)
    assert [change["rule"] for change in document["changes"]] == [f"file.{rule}"]
    checked = json.loads(run("check", target, "--format", "json").out)
    assert document["after"] == checked["summary"]
    assert document["left"] == checked["findings"] == []


def test_a_dry_run_says_what_a_run_says_and_the_journal_says_it_too(
    run: Callable, samples: Path, tmp_path: Path
) -> None:
    words = ("clean", samples / "broken", tmp_path / "s", "--only", "geometry", "--json")
    foretold, told = (json.loads(run(*words, *more).out) for more in (["--dry-run"], []))
    journal = json.loads((tmp_path / "s" / "TASKDATA.journal.json").read_text(encoding="utf-8"))
    assert any("file name" in loss["what"] for loss in told["losses"])
    assert foretold == told == journal


def test_a_journal_that_stands_there_is_not_replaced_and_nothing_is_left_of_the_attempt(
    run: Callable, samples: Path, tmp_path: Path
) -> None:
    journal = tmp_path / "s.zip.journal.json"
    journal.write_text("mine", encoding="utf-8")
    result = run("clean", samples / "broken", tmp_path / "s.zip", "--review")
    assert result.code == 4
    assert str(journal) in result.err
    assert list(tmp_path.iterdir()) == [journal]
