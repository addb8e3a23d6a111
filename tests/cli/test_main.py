"""The program as a whole: help, version, interruption, pipes."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from taskdata.cli import commands

PROMISED = {"check", "clean", "compare", "convert", "inspect", "merge", "rules"}
COMMANDS = commands.list_commands(commands.make_context("taskdata", [], resilient_parsing=True))
PROGRAM = [sys.executable, "-m", "taskdata"]


def test_help_lists_every_command(run: Callable) -> None:
    result = run("--help")
    assert result.code == 0
    assert all(f"\n  {name} " in result.out for name in COMMANDS)
    assert set(COMMANDS) >= PROMISED


@pytest.mark.parametrize("name", COMMANDS)
def test_each_help_has_an_example(run: Callable, name: str) -> None:
    result = run(name, "--help")
    assert result.code == 0
    assert f"Example: taskdata {name} " in result.out


def test_version(run: Callable) -> None:
    assert run("--version").out.split()[0] == "taskdata"


@pytest.mark.parametrize("words", [("nonsense",), ("check",), ("check", "--nonsense", "x"), ("inspect",)])
def test_wrong_usage(run: Callable, words: tuple[str, ...]) -> None:
    result = run(*words)
    assert (result.code, result.out) == (2, "")
    assert result.err


def test_interruption_is_no_traceback(run: Callable, samples: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("taskdata.api.check", interrupt)
    result = run("check", samples / "office")
    assert result.code == 130
    assert result.err.strip() == "taskdata: interrupted"


def test_a_closed_pipe_is_no_traceback(samples: Path) -> None:
    reader, writer = os.pipe()
    os.close(reader)
    ended = subprocess.run([*PROGRAM, "rules"], stdout=writer, stderr=subprocess.PIPE, check=False)
    os.close(writer)
    assert (ended.returncode, ended.stderr) == (141, b"")


def test_a_narrow_terminal_alphabet_is_no_traceback(samples: Path) -> None:
    environment = {**os.environ, "PYTHONIOENCODING": "koi8-r"}
    words = [*PROGRAM, "inspect", str(samples / "office")]
    ended = subprocess.run(words, env=environment, capture_output=True, check=False)
    assert (ended.returncode, ended.stderr) == (0, b"")
    assert b"S\\xfcdkante" in ended.stdout


def test_colour_only_on_a_terminal_and_never_against_no_color(
    samples: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from taskdata.cli import _output
    from taskdata.reports.styled import Line

    lines = [Line("ERROR  reference.dangling", "error")]
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.delenv("NO_COLOR", raising=False)
    _output.print_lines(lines)
    assert capsys.readouterr().out == "ERROR  reference.dangling\n"
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    _output.print_lines(lines)
    coloured = capsys.readouterr().out
    assert "\x1b[" in coloured
    assert "ERROR  reference.dangling" in coloured
    monkeypatch.setenv("NO_COLOR", "1")
    _output.print_lines(lines)
    assert capsys.readouterr().out == "ERROR  reference.dangling\n"


def test_a_full_disk_behind_the_output_is_one_line() -> None:
    full = "import taskdata.cli as cli\ndef full(_):\n raise OSError(28, 'No space left')\ncli._invoke = full\n"
    ended = subprocess.run([sys.executable, "-c", full + "cli.main([])"], capture_output=True, check=False)
    assert (ended.returncode, ended.stdout) == (4, b"")
    assert ended.stderr.decode().splitlines() == [
        "taskdata: the output: could not be written (No space left). Make room and try again"
    ]


def test_a_closed_output_is_no_traceback() -> None:
    ended = subprocess.run([*PROGRAM, "rules"], stderr=subprocess.PIPE, check=False, preexec_fn=partial(os.close, 1))
    assert (ended.returncode, ended.stderr) == (0, b"")
