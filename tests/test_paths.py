"""Paths that name nothing, as an unset variable of a shell gives them, and names that are no names."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import taskdata
from taskdata.cli import main
from tests.samples import MACHINE, OFFICE

HERE, THERE = str(OFFICE), str(MACHINE)
COMMANDS = [
    ["inspect", ""],
    ["check", ""],
    ["check", HERE, "--profile", ""],
    ["check", HERE, "--baseline", ""],
    ["check", HERE, "--receiver", ""],
    ["check", HERE, "--write-baseline", ""],
    ["inspect", THERE, "--make-receiver", ""],
    ["convert", "", "out.gpkg"],
    ["convert", HERE, "", "--to", "isoxml"],
    ["convert", HERE, "out.zip", "--receiver", ""],
    ["clean", HERE, ""],
    ["merge", HERE, "", "out.zip"],
    ["compare", HERE, ""],
    ["coverage", THERE, "--output", ""],
    ["passes", HERE, "--field", "PFD1", "--width", "6", "--output", ""],
    ["shift", HERE, "", "--east", "1", "--north", "1"],
]


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_an_empty_path_is_refused_in_one_line_and_nothing_is_written(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as ended:
        main(words)
    assert ended.value.code == 2
    told = capsys.readouterr()
    assert " is empty. " in told.err
    assert told.err.count("\n") == 1
    assert not told.out
    assert not os.listdir(tmp_path)


@pytest.mark.parametrize("path", ["", " ", None, 3, b"bytes"])
@pytest.mark.parametrize("call", [taskdata.read, taskdata.check, taskdata.find_sets, taskdata.coverage])
def test_what_is_no_path_is_told_in_python(call: Callable[[Any], object], path: Any) -> None:
    with pytest.raises(taskdata.UsageError, match="path"):
        call(path)


def test_an_empty_path_among_many_does_not_end_the_loop() -> None:
    (_, wrong), (_, right) = taskdata.read_many(["", OFFICE])
    assert isinstance(wrong, taskdata.UsageError)
    assert isinstance(right, taskdata.Dataset)


@pytest.mark.parametrize("name", ["a\nb.gpkg", "a\tb.geojson", "a\x1b[1m.zip", "a\x7f.kml"])
def test_a_target_has_no_control_character_in_its_name(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(taskdata.UsageError, match=r"^a\\.*: has a line break or another control character"):
        taskdata.convert(OFFICE, name)
    assert not os.listdir(tmp_path)
