"""``taskdata batch``: the words of the command line become the call of Python, and its result lines or a document."""

from __future__ import annotations

import inspect
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import taskdata
from taskdata.batches import many
from taskdata.batches.commands import COMMANDS
from taskdata.cli._batched import options_of
from taskdata.formats.foreign.options import Reading
from taskdata.results.batch import Batch, BatchedSource
from tests.cli.conftest import Result

Run = Callable[..., Result]


@pytest.fixture
def called(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """Catch what the command calls in Python."""
    caught: dict[str, Any] = {}

    def batch(command: str, sources: tuple[str, ...], out: str, **rest: Any) -> Batch:
        caught.update(command=command, sources=sources, out=out, **rest)
        rows = [BatchedSource("a", "d", 1, "r", "r", 0.5, counts={"error": 2}, kept=True)]
        rows += [BatchedSource(f"b{n}", None, 3, None, None, 0.5, f"b{n}: could not be read") for n in range(22)]
        return Batch(command, out, tuple(rows), ("Memory is not bounded.",))

    monkeypatch.setattr(many, "batch", batch)
    return caught


def test_words_behind_the_dashes_are_those_of_the_command(run: Run, called: dict[str, Any]) -> None:
    words = ["--out", "o", "--workers", 3, "--quiet", "--", "--fail-on", "note", "--select", "a", "--rescue"]
    done = run("batch", "check", "x", "y", *words)
    assert called == {
        "command": "check",
        "sources": ("x", "y"),
        "out": "o",
        "workers": 3,
        "memory_mb": None,
        "scheduler": None,
        "fail_on": "note",
        "select": ("a",),
        "rescue": True,
    }
    assert done.code == 3
    assert "23 sources, 1 finished before." in done.out
    assert "To look at: 1 (exit code 1)." in done.out
    assert "In all: errors 2." in done.out
    assert "b19: could not be read" in done.out
    assert "b20" not in done.out
    assert "2 more are in summary.csv." in done.out
    assert "WARNING  Memory is not bounded." in done.out


def test_json_prints_the_summary_and_nothing_else(run: Run, called: dict[str, Any]) -> None:
    done = run("batch", "inspect", "x", "--out", "o", "--json")
    document = json.loads(done.out)
    assert done.err == ""
    assert document["totals"]["failed"] == 22
    assert document["warnings"] == ["Memory is not bounded."]


@pytest.mark.parametrize(
    ("command", "words", "options"),
    [
        ("convert", "--to gpkg --version 3 --raw --quiet", {"to": "gpkg", "version": 3, "raw": True}),
        ("convert", "--field A --since 2024-01-01", {"only": {"fields": ("A",), "since": "2024-01-01"}}),
        ("inspect", "--values --units us --json", {"units": "us"}),
        ("inspect", "--values", {"units": "metric"}),
        ("inspect", "--units us", {}),
        ("clean", "--review --only a --except b", {"review": True, "only": ("a",), "leave": ("b",)}),
        ("check", "--format json --baseline b.json", {"accepted": "b.json"}),
        (
            "coverage",
            "--width 3 --trailed 2 --delay 1 --ignore-under 4 --accuracy 0.1 --cell 2 --units us",
            {
                "implement": taskdata.Implement(width_m=3.0, trailed_m=2.0),
                "delay_s": 1.0,
                "ignore_under_m2": 4.0,
                "accuracy_m": 0.1,
                "cell_m": 2.0,
            },
        ),
    ],
)
def test_options_become_arguments(command: str, words: str, options: dict[str, Any]) -> None:
    assert options_of(command, words.split()) == options


@pytest.mark.parametrize(
    ("command", "words", "told"),
    [
        ("check", "--write-baseline b", "--write-baseline: is no option for many sources"),
        ("check", "--format sarif", "--format: is no option for many sources"),
        ("check", "more", "more: sources stand before --"),
        ("convert", "--to gpkg --overwrite", "--overwrite: is no option for many sources"),
        ("coverage", "--output x", "--output: is no option for many sources"),
        ("inspect", "--make-mapping x", "--make-mapping: is no option for many sources"),
        ("convert", "more", "more"),
        ("check", "--nonsense", "Try 'taskdata check --help' for help.\n\nError: No such option '--nonsense'."),
        ("merge", "", "merge: is not a command for many sources"),
    ],
)
def test_what_cannot_be_done_with_many_is_refused_in_a_line(
    command: str, words: str, told: str, run: Run, tmp_path: Path
) -> None:
    done = run("batch", command, tmp_path, "--out", tmp_path / "out", "--", *words.split())
    assert done.code == 2
    assert told in done.err
    assert not (tmp_path / "out").exists()


def test_every_option_of_a_batch_is_an_argument_of_the_function() -> None:
    for name, command in COMMANDS.items():
        if name != "inspect":
            known = set(inspect.signature(getattr(taskdata, name)).parameters) | {"fail_on"}
            assert command.own <= known, name
            assert not command.own & set(Reading.__annotations__), name
