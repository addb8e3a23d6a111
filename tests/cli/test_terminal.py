"""What a terminal shows and a pipe does not: outlines of fields; completion of commands and options by a shell."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests import samples

pty = pytest.importorskip("pty", reason="terminals are those of POSIX systems")
README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
PROGRAM = [sys.executable, "-m", "taskdata"]
BRAILLE = re.compile("[\u2800-\u28ff]")
PLAIN = {"TERM": "xterm", "COLUMNS": "80", "PYTHONUTF8": "1", "PYTHONIOENCODING": "utf-8"}


def shown(*words: object, **environment: str) -> str:
    """Return what a command prints on a terminal."""
    ours, theirs = pty.openpty()
    known = {name: value for name, value in os.environ.items() if name not in {"NO_COLOR", "PYTHONIOENCODING"}}
    with subprocess.Popen(
        [*PROGRAM, *map(str, words)], stdout=theirs, stderr=subprocess.DEVNULL, env={**known, **PLAIN, **environment}
    ) as run:
        os.close(theirs)
        parts = []
        while part := _part(ours):
            parts.append(part)
    os.close(ours)
    assert run.returncode == 0
    return b"".join(parts).decode(environment.get("PYTHONIOENCODING", "utf-8")).replace("\r\n", "\n")


def _part(end: int) -> bytes:
    try:
        return os.read(end, 65536)
    except OSError:  # the other end is closed: Linux says so with an error
        return b""


@pytest.fixture(scope="module")
def piped() -> str:
    words = [*PROGRAM, "inspect", str(samples.OFFICE)]
    return subprocess.run(words, capture_output=True, check=True, encoding="utf-8", env={**os.environ, **PLAIN}).stdout


def test_a_terminal_shows_an_outline_of_each_field_and_a_pipe_none(piped: str) -> None:
    text = shown("inspect", samples.OFFICE, "--quiet", NO_COLOR="1")
    lines = text.splitlines()
    assert "\x1b" not in text
    assert "\n".join(line for line in lines if not BRAILLE.search(line)) == piped.rstrip("\n")
    drawn = [index for index, line in enumerate(lines) if BRAILLE.search(line) and "PFD" in lines[index - 1]]
    assert len(drawn) == 5
    assert max(map(len, lines)) <= 80


@pytest.mark.parametrize(
    "environment", [{"TERM": "dumb"}, {"TERM": "linux"}, {"PYTHONIOENCODING": "latin-1", "PYTHONUTF8": "0"}]
)
def test_a_terminal_that_cannot_show_them_gets_none(environment: dict[str, str]) -> None:
    assert not BRAILLE.search(shown("inspect", samples.OFFICE, "--quiet", **environment))


def completed(shell: str, **environment: str) -> str:
    asked = {**os.environ, "_TASKDATA_COMPLETE": shell, **environment}
    return subprocess.run(PROGRAM, capture_output=True, check=True, encoding="utf-8", env=asked).stdout


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_each_shell_gets_the_script_that_readme_names(shell: str) -> None:
    script = completed(f"{shell}_source")
    assert f"_TASKDATA_COMPLETE={shell}_complete" in script
    assert f"_TASKDATA_COMPLETE={shell}_source taskdata" in README


@pytest.mark.parametrize(
    ("words", "wanted"),
    [("taskdata co", {"compare", "convert", "coverage"}), ("taskdata convert a b --to ge", {"geojson"})],
)
def test_bash_is_told_what_fits(words: str, wanted: set[str]) -> None:
    told = completed("bash_complete", COMP_WORDS=words, COMP_CWORD=str(len(words.split()) - 1))
    assert {line.partition(",")[2] for line in told.splitlines()} == wanted


def test_zsh_and_fish_are_told_options_with_their_help() -> None:
    zsh = completed("zsh_complete", COMP_WORDS="taskdata check --rec", COMP_CWORD="2").splitlines()
    fish = completed("fish_complete", COMP_WORDS="taskdata check", COMP_CWORD="--rec")
    assert zsh[1] == "--receiver"
    assert "--receiver" in fish
