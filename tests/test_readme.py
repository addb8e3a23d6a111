"""The commands that README and the page of commands in full show print what is shown there."""

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

import duckdb
import pytest

from taskdata.cli import main
from tests import samples

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
FULL = (ROOT / "schemas" / "README.md").read_text(encoding="utf-8")
PAGES = {"README.md": README, "schemas/README.md": FULL}
CONSOLE = [
    pytest.param(block, id=f"{page} {block.splitlines()[0][2:50]}")
    for page, text in PAGES.items()
    for block in re.findall(r"```console\n(.*?)```", text, re.DOTALL)
]
LEFT_OUT = "..."
"""A line that stands for any lines."""


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


def shows(shown: str, told: str) -> bool:
    """Whether an output is as it is shown, where some of its lines may be left out."""
    parts = (r"(?:.*\n)*" if line == LEFT_OUT else re.escape(f"{line}\n") for line in shown.rstrip().split("\n"))
    return re.fullmatch("".join(parts), f"{told.rstrip()}\n") is not None


def test_the_main_command_prints_what_is_shown(desk: Path) -> None:
    command, output = marked("main")
    own = command.rpartition("/bin/")[2]
    assert output
    assert started(own, desk) == output


def test_the_test_command_is_the_one_that_the_gate_runs() -> None:
    command, _ = marked("test")
    assert command.endswith(".venv/bin/pytest")
    assert "<!-- test command -->" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


@pytest.mark.parametrize("block", CONSOLE)
def test_commands_print_what_is_shown(block: str, run: Callable[[str], str]) -> None:
    for command, output in session(block):
        told = run(command)
        if not shows(output, told):
            assert told.rstrip() == output.rstrip(), command


def test_what_is_left_out_is_whole_lines() -> None:
    assert shows("a\n...\nd", "a\nb\nc\nd")
    assert shows("a\n...\nd", "a\nd")
    assert not shows("a\n...\nd", "a\nb\nc d")
    assert not shows("a\nd", "a\nb\nd")


def test_what_readme_shortens_stands_in_full() -> None:
    """Of a shortened command the same, with or without more options, is shown whole."""
    whole = [command for block in re.findall(r"```console\n(.*?)```", FULL, re.DOTALL) for command, _ in session(block)]
    short = re.findall(r"```console\n(.*?)```", README, re.DOTALL)
    cut = [command for block in short for command, output in session(block) if f"\n{LEFT_OUT}\n" in output]
    assert len(cut) > 5
    assert [command for command in cut if not any(other.startswith(command) for other in whole)] == []
    assert f"\n{LEFT_OUT}\n" not in FULL


def test_the_picture_is_made_by_the_command_beside_it(run: Callable[[str], str], desk: Path) -> None:
    (command, picture) = re.findall(r"`(taskdata report \S+ (samples/\S+\.svg))`", README)[0]
    assert f"({picture})" in README
    run(command.replace(picture, "again.svg"))
    assert (desk / "again.svg").read_bytes() == (ROOT / picture).read_bytes()
    assert (desk / "again.svg").stat().st_size < 150_000


@pytest.mark.parametrize("page", PAGES)
def test_the_tour_of_python_prints_what_is_shown(page: str, desk: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The blocks of a page run one after the other, as a reader types them."""
    monkeypatch.chdir(desk)
    names: dict[str, object] = {}
    tour = re.findall(r"```pycon\n(.*?)```", PAGES[page], re.DOTALL)
    assert len(tour) > 2
    for number, block in enumerate(tour, 1):
        told: list[str] = []
        test = doctest.DocTestParser().get_doctest(block, names, f"block {number}", page, None)
        assert test.examples
        doctest.DocTestRunner(optionflags=doctest.ELLIPSIS).run(test, out=told.append, clear_globs=False)
        names.update(test.globs)
        assert not told, "".join(told)


def test_queries_find_what_is_shown(run: Callable[[str], str], desk: Path) -> None:
    """Each query is followed by its rows in comments; an outline is shown as such."""
    run("taskdata catalogue samples archive --quiet")
    queries = re.findall(r"```sql\n(.*?)```", README, re.DOTALL)
    assert len(queries) == 3
    for query in queries:
        shown = re.findall(r"^-- (.*)$", query, re.MULTILINE)
        found = duckdb.sql(query).fetchall()
        assert len(found) == len(shown) > 1
        told = [["(outline)" if isinstance(item, bytes) else str(item) for item in row] for row in found]
        assert [" | ".join(row) for row in told] == shown, query


def test_every_block_of_python_is_run() -> None:
    assert re.findall(r"```(?!pycon|console|sql)([a-z]+)\n", README) == []
    assert set(re.findall(r"```(?!pycon|console)([a-z]+)\n", FULL)) == {"toml"}
