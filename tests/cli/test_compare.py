"""``taskdata compare`` on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path


def test_nothing_differs_from_itself(run: Callable, samples: Path) -> None:
    same = run("compare", samples / "office", samples / "office", "--json")
    assert same.code == 0
    assert json.loads(same.out) == {"equal": True, "common_shift": None, "differences": []}


def test_a_difference_ends_with_1_and_a_missing_source_with_3(run: Callable, samples: Path, tmp_path: Path) -> None:
    differs = run("compare", samples / "office", samples / "machine")
    assert differs.code == 1
    assert "TimeLog TLG00001 of TSK1" in differs.out
    missing = run("compare", samples / "office", tmp_path / "nothing")
    assert missing.code == 3
    assert missing.err.count("\n") == 1
