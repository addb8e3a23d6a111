"""``taskdata compare`` on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.documents import EMPTY


def test_nothing_differs_from_itself(run: Callable, samples: Path) -> None:
    same = run("compare", samples / "office", samples / "office", "--json")
    assert same.code == 0
    assert json.loads(same.out) == {"equal": True, "common_shift": None, "differences": [], **EMPTY}


def test_a_difference_ends_with_1_and_a_missing_source_with_3(run: Callable, samples: Path, tmp_path: Path) -> None:
    differs = run("compare", samples / "office", samples / "machine")
    assert differs.code == 1
    assert "TimeLog TLG00001 of TSK1" in differs.out
    missing = run("compare", samples / "office", tmp_path / "nothing")
    assert missing.code == 3
    assert missing.err.count("\n") == 1


def test_a_tolerance_is_a_number_of_metres(run: Callable, samples: Path) -> None:
    assert run("compare", samples / "office", samples / "machine", "--tolerance", "0.5").code == 1
    for wrong in ("-1", "nan", "inf", "wide"):
        refused = run("compare", samples / "office", samples / "office", "--tolerance", wrong)
        assert refused.code == 2
        assert "Traceback" not in refused.err


@pytest.mark.parametrize("content", [b"", b"garbage", b"PK\x03\x04garbage", b"<?xml version='1.0'?><XFC/>"])
def test_no_source_is_told_in_one_line(run: Callable, samples: Path, tmp_path: Path, content: bytes) -> None:
    (tmp_path / "TASKDATA.XML").write_bytes(content)
    for pair in ((samples / "office", tmp_path), (tmp_path, samples / "office")):
        told = run("compare", *pair)
        assert told.code == 3
        assert told.err.count("\n") == 1
