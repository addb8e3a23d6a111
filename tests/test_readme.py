"""The commands that README shows print what README shows."""

from __future__ import annotations

import contextlib
import doctest
import io
import os
import re
import shlex
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from taskdata.cli import main
from tests import samples

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
CONSOLE = re.findall(r"```console\n(.*?)```", README, re.DOTALL)
TOUR = re.findall(r"```pycon\n(.*?)```", README, re.DOTALL)


def marked(name: str) -> tuple[str, str]:
    """Return the command under a marker and the output block that follows it, empty if there is none."""
    found = re.search(rf"<!-- {name} command -->\n```\n(.*?)\n```\n(?:\n```\n(.*?)```)?", README, re.DOTALL)
    assert found is not None
    return found[1], found[2] or ""


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    """A folder with the samples in it, as a user's checkout has them."""
    (tmp_path / "samples").symlink_to(samples.SAMPLES)
    return tmp_path


def started(command: str, desk: Path) -> str:
    """Run one line of a shell session in an interpreter of its own and return what it prints, errors and all."""
    environment = {**os.environ, "NO_COLOR": "1", "COLUMNS": "80", "PYTHONPATH": str(ROOT), "PYTHONWARNINGS": "error"}
    done = subprocess.run(
        [sys.executable, "-m", "taskdata", *own_words(command)],
        cwd=desk,
        env=environment,
        check=False,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
    )
    return done.stdout


@pytest.fixture
def run(desk: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], str]:
    """Runs one line of a shell session in this process and returns what it prints, errors and all."""
    monkeypatch.chdir(desk)
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("COLUMNS", "80")

    def call(command: str) -> str:
        told = io.StringIO()
        with contextlib.redirect_stdout(told), contextlib.redirect_stderr(told), pytest.raises(SystemExit):
            main(own_words(command))
        return told.getvalue()

    return call


def own_words(command: str) -> list[str]:
    """The words of a line after the name of the program."""
    name, *words = shlex.split(command)
    assert name == "taskdata"
    return words


def session(block: str) -> list[tuple[str, str]]:
    """Split a console block into commands and what each prints."""
    parts = re.split(r"^\$ (.*)\n", block, flags=re.MULTILINE)[1:]
    return list(zip(parts[::2], parts[1::2], strict=True))


def test_the_main_command_prints_what_is_shown(desk: Path) -> None:
    command, output = marked("main")
    own = command.rpartition("/bin/")[2]
    assert output
    assert started(own, desk) == output


def test_the_test_command_is_the_one_that_the_gate_runs() -> None:
    command, _ = marked("test")
    assert command.endswith(".venv/bin/pytest")
    assert "<!-- test command -->" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


@pytest.mark.parametrize("block", CONSOLE, ids=lambda block: block.splitlines()[0][2:50])
def test_commands_print_what_is_shown(block: str, run: Callable[[str], str]) -> None:
    for command, output in session(block):
        assert run(command).rstrip() == output.rstrip(), command


def test_the_tour_of_python_prints_what_is_shown(desk: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its blocks run one after the other, as a reader types them."""
    monkeypatch.chdir(desk)
    names: dict[str, object] = {}
    assert len(TOUR) > 5
    for number, block in enumerate(TOUR, 1):
        told: list[str] = []
        test = doctest.DocTestParser().get_doctest(block, names, f"block {number}", "README.md", None)
        assert test.examples
        doctest.DocTestRunner(optionflags=doctest.ELLIPSIS).run(test, out=told.append, clear_globs=False)
        names.update(test.globs)
        assert not told, "".join(told)


def test_every_block_of_python_is_run() -> None:
    assert re.findall(r"```(?!pycon|console)([a-z]+)\n", README) == []
