"""What a terminal shows of a long run, and that a pipe, a quick run and --quiet show nothing."""

from __future__ import annotations

import json
import os
import pty
import re
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from taskdata.cli import _progress
from taskdata.cli._progress import Display, Stage, amount, facts, speed
from tests.samples import SAMPLES

ROOT = Path(__file__).parents[2]
START = "import sys; from taskdata.cli import _progress, main; _progress.DELAY_S = {delay}; main(sys.argv[1:])"
DRAWN = """
import threading
from taskdata.cli import _progress
from taskdata.progress import stage
_progress.DELAY_S = 0.0
with _progress.progress("Checking", quiet=False) as aside, stage("Checking", "sources", 2) as sources:
    sources(1)
    with stage("Applying rules", "rules", 280) as rules:
        rules(12)
        for thread in threading.enumerate():
            if isinstance(thread, threading.Timer):
                thread.join()
        with aside():
            print("report")
"""
"""Draws two stages, and again after something was printed."""
NEVER = 1e6
CURSOR_OFF, CURSOR_ON = "\x1b[?25l", "\x1b[?25h"
ESCAPES = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")


def on_terminal(*words: object, code: str) -> tuple[int, str, str]:
    """Run Python code with stderr on a terminal and stdout in a pipe; exit code, stdout, and what the terminal got."""
    ours, theirs = pty.openpty()
    environment = {**os.environ, "TERM": "xterm", "COLUMNS": "120", "PYTHONPATH": str(ROOT)}
    environment.pop("NO_COLOR", None)
    shown: list[bytes] = []

    def listen() -> None:
        while True:
            try:
                octets = os.read(ours, 1 << 16)
            except OSError:  # the other end is closed
                return
            if not octets:
                return
            shown.append(octets)

    listener = threading.Thread(target=listen)
    listener.start()
    command = [sys.executable, "-c", code, *map(str, words)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=theirs, env=environment) as process:
        out, _ = process.communicate()
    os.close(theirs)
    listener.join()
    os.close(ours)
    return process.returncode, out.decode(), b"".join(shown).decode()


def test_a_terminal_is_shown_what_is_done_how_much_and_for_how_long() -> None:
    code, out, shown = on_terminal(code=DRAWN)
    assert (code, out) == (0, "report\n")
    text = ESCAPES.sub("", shown)
    assert re.search(r"Checking +\S+ +1 of 2 sources +[\d,.]+ sources/(s|min) +\d+ s left", text)
    assert re.search(r"Applying rules +\S+ +12 of 280 rules +[\d,.]+ rules/(s|min) +\d+ (s|min \d+ s) left", text)
    assert shown.rindex(CURSOR_ON) > shown.rindex(CURSOR_OFF)


def test_a_long_check_of_several_sources_counts_them() -> None:
    code, out, shown = on_terminal("check", SAMPLES / "machine", SAMPLES / "office", code=START.format(delay=0.0))
    assert code == 0
    assert out.startswith(str(SAMPLES / "machine"))
    assert "\x1b" not in out
    assert "of 2 sources" in ESCAPES.sub("", shown)


def test_a_run_that_is_over_before_its_time_shows_nothing() -> None:
    code, out, shown = on_terminal("check", SAMPLES / "office", "--format", "json", code=START.format(delay=NEVER))
    assert (code, shown) == (0, "")
    assert json.loads(out)["source"]


def test_quiet_shows_nothing() -> None:
    code, _, shown = on_terminal("check", SAMPLES / "office", "--quiet", code=START.format(delay=0.0))
    assert (code, shown) == (0, "")


@pytest.mark.parametrize("command", ["check", "inspect"])
def test_a_pipe_gets_nothing(command: str) -> None:
    words = [sys.executable, "-c", START.format(delay=0.0), command, str(SAMPLES / "machine")]
    done = subprocess.run(
        words, capture_output=True, text=True, check=True, env={**os.environ, "PYTHONPATH": str(ROOT)}
    )
    assert done.stderr == ""
    assert "\x1b" not in done.stdout


def test_the_time_is_two_seconds(monkeypatch: pytest.MonkeyPatch) -> None:
    waiting: list[tuple[float, Callable[[], None]]] = []

    class Timer:
        """Takes the place of a timer, and lets the test say when the time has come."""

        daemon = False

        def __init__(self, seconds: float, function: Callable[[], None]) -> None:
            waiting.append((seconds, function))

        def start(self) -> None:
            """Begin to wait."""

        def cancel(self) -> None:
            """Wait no longer."""

    monkeypatch.setattr("taskdata.cli._progress.threading.Timer", Timer)
    display = Display("Checking")
    ((seconds, fall_due),) = waiting
    assert seconds == _progress.DELAY_S == 2.0
    assert not display.on_screen
    fall_due()
    assert display.on_screen
    with display.paused():
        assert not display.on_screen
    assert display.on_screen
    display.close()
    assert not display.on_screen
    fall_due()
    assert not display.on_screen


def test_drawing_waits_for_nothing() -> None:
    """What draws holds a lock of its own, so that waiting for the one that hides it would be for ever."""
    display = Display("Checking")
    seen: list[list[Stage]] = []
    with display.paused():
        drawing = threading.Thread(target=lambda: seen.append(display.shown()), daemon=True)
        drawing.start()
        drawing.join(60.0)
        assert [item.what for item in seen[0]] == ["Checking"]
    display.close()


def test_the_outermost_stage_and_the_two_innermost_are_shown() -> None:
    display = Display("Checking")
    assert [item.what for item in display.shown()] == ["Checking"]
    numbers = [display.begin(name, "things", None, about=False) for name in "abcde"]
    assert [item.what for item in display.shown()] == ["a", "d", "e"]
    for number in reversed(numbers[1:]):
        display.end(number)
    assert [item.what for item in display.shown()] == ["a"]
    display.close()


@pytest.mark.parametrize(
    ("stage", "took", "told"),
    [
        (Stage("", "bytes", 99_000_000, False, 0.0, 33_000_000), 3.0, ("33.0 of 99.0 MB", "11.0 MB/s", "6 s left")),
        (Stage("", "bytes", 2_000, True, 0.0, 500), 1.0, ("0.5 of about 2.0 kB", "500.0 B/s", "3 s left")),
        (Stage("", "bytes", None, False, 0.0, 700), 7.0, ("700 B", "100.0 B/s", "7 s so far")),
        (Stage("", "rules", 280, False, 0.0, 70), 10.0, ("70 of 280 rules", "7 rules/s", "30 s left")),
        (Stage("", "sets", 10, False, 0.0, 1), 60.0, ("1 of 10 sets", "1.0 sets/min", "9 min 0 s left")),
        (
            Stage("", "records", None, False, 0.0, 1_200_000),
            2.0,
            ("1,200,000 records", "600,000 records/s", "2 s so far"),
        ),
        (Stage("", "records", 10, True, 0.0, 12), 3.0, ("12 of about 12 records", "4 records/s", "0 s left")),
        (Stage("", "rules", 280, False, 0.0, 0), 4.0, ("0 of 280 rules", "", "4 s so far")),
        (Stage("", "", None, False, 0.0, 0), 75.0, ("", "", "1 min 15 s so far")),
    ],
)
def test_facts_of_a_stage(stage: Stage, took: float, told: tuple[str, str, str]) -> None:
    assert facts(stage, took) == told


def test_rates_and_amounts() -> None:
    assert speed("bytes", 2.5e9) == "2.5 GB/s"
    assert speed("sets", 0.0) == ""
    assert amount(Stage("", "layers", 8, False, 0.0, 3)) == "3 of 8 layers"
