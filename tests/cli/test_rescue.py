"""``--rescue`` on every command that reads a set: told loudly, with exit code 1; without it the way out is named."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.samples import MACHINE

COMMANDS = {
    "inspect": ("--json",),
    "check": ("--format", "json"),
    "convert": ("OUT", "--to", "gpkg", "--json"),
    "clean": ("OUT", "--json"),
    "merge": ("OUT", "--json"),
    "compare": (str(MACHINE), "--json"),
    "coverage": ("--json",),
    "passes": ("--width", "24", "--json"),
    "shift": ("OUT", "--east", "1", "--everything", "--json"),
}


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    """A set whose main file ends in its last task."""
    folder = Path(shutil.copytree(MACHINE, tmp_path / "stick" / "TASKDATA"))
    content = (folder / "TASKDATA.XML").read_bytes()
    (folder / "TASKDATA.XML").write_bytes(content[: content.index(b'<TSK A="TSK-1"') + 40])
    return folder.parent


def words(name: str, tmp_path: Path) -> list[str]:
    return [str(tmp_path / "out") if word == "OUT" else word for word in COMMANDS[name]]


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_names_the_way_out(stick: Path, name: str, run: Callable[..., Any], tmp_path: Path) -> None:
    result = run(name, stick, *words(name, tmp_path))
    assert result.code == 3
    assert result.out == ""
    assert "TASKDATA.XML: is not well-formed XML at line" in result.err
    assert result.err.endswith("or read everything before the fault with --rescue\n")
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_rescues_and_says_so(stick: Path, name: str, run: Callable[..., Any], tmp_path: Path) -> None:
    result = run(name, stick, *words(name, tmp_path), "--rescue")
    assert result.code == 1, result.err
    document = json.loads(result.out)
    (found,) = [item for item in document["findings"] if item["rule"] == "file.cut-off"]
    assert found["severity"] == "error"
    assert found["line"] > 700
    assert "Partfield 6" in found["message"]
    assert "Task 5" in found["message"]
    if name != "check":
        (unread,) = [item for item in document["unread"] if item["file"] == "TASKDATA.XML"]
        assert f"line {found['line']}" in unread["why"]
        assert any(unread["why"] in text for text in document["warnings"])


@pytest.mark.parametrize("name", COMMANDS)
def test_the_text_says_so_too(stick: Path, name: str, run: Callable[..., Any], tmp_path: Path) -> None:
    plain = [word for word in words(name, tmp_path) if word not in {"--json", "--format", "json"}]
    result = run(name, stick, *plain, "--rescue")
    assert result.code == 1, result.err
    text = " ".join(result.out.split())
    assert "is cut off or damaged at line" in text
    assert "Nothing that was read is lost." not in text


def test_a_sound_set_ends_with_0(run: Callable[..., Any]) -> None:
    assert run("inspect", MACHINE, "--rescue").code == 0
