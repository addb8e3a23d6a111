"""Runs of the program as processes: forked from one that has loaded everything, or started anew."""

from __future__ import annotations

import importlib
import os
import pkgutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import taskdata
from taskdata.cli import main

LONGEST = 120.0
"""Seconds after which a run counts as hanging."""


@dataclass(frozen=True)
class Ended:
    """How a run ended: its exit code, minus the number of the signal that ended it, and what it wrote to stderr."""

    code: int
    told: str

    @property
    def lines(self) -> list[str]:
        """The lines on stderr."""
        return self.told.splitlines()

    def wrong(self, *codes: int) -> str | None:
        """Return what is wrong with the way it ended, None where nothing is."""
        if "Traceback" in self.told or "Exception ignored" in self.told:
            return f"traceback: {self.told[-400:]}"
        if self.code not in codes:
            return f"exit code {self.code}, expected {codes}: {self.told[-300:]}"
        if len(self.lines) > 1 or (self.code in {3, 4} and len(self.lines) != 1):
            return f"{len(self.lines)} lines on stderr: {self.told[-400:]}"
        return None


class Run:
    """One run of the program under way."""

    def __init__(self, words: Sequence[str], work: Path, prepare: Callable[[], None] = lambda: None) -> None:
        self._told = work / f"stderr-{time.monotonic_ns()}"
        self.began = time.monotonic()
        self.pid = os.fork()
        if not self.pid:
            self._child(list(words), prepare)

    def _child(self, words: list[str], prepare: Callable[[], None]) -> None:
        code = 70
        try:
            signal.signal(signal.SIGINT, signal.SIG_DFL)  # as the command does until it begins
            signal.signal(signal.SIGTERM, signal.SIG_DFL)
            for number, path in ((1, Path(os.devnull)), (2, self._told)):
                os.dup2(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o666), number)
            sys.stdout, sys.stderr = (os.fdopen(number, "w", encoding="utf-8") for number in (1, 2))
            prepare()
            main(words)
        except SystemExit as ended:
            code = ended.code if isinstance(ended.code, int) else 0
            sys.stderr.flush()
        except BaseException:
            import traceback

            traceback.print_exc()
            sys.stderr.flush()
        finally:
            os._exit(code)

    def send(self, number: int) -> None:
        """Send a signal, if the run has not ended."""
        os.kill(self.pid, number)

    def ended(self) -> Ended:
        """Wait for the end, and return how it was."""
        while True:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                break
            if time.monotonic() - self.began > LONGEST:
                os.kill(self.pid, signal.SIGKILL)
                os.waitpid(self.pid, 0)
                return Ended(-99, "the run hung")
            time.sleep(0.002)
        told = self._told.read_text(encoding="utf-8", errors="replace") if self._told.exists() else ""
        self._told.unlink(missing_ok=True)
        code = os.waitstatus_to_exitcode(status)
        return Ended(code, told)


def started_anew(words: Sequence[str], **options: object) -> subprocess.Popen[str]:
    """Start the program in an interpreter of its own."""
    command = [sys.executable, "-m", "taskdata", *words]
    return subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, **options)  # type: ignore[call-overload]


def load_everything() -> None:
    """Import every module, so that a run that is forked begins to work at once."""
    for module in pkgutil.walk_packages(taskdata.__path__, "taskdata."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
