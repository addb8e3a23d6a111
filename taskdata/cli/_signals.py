"""Signals that end the program: each ends it in the same way, with what was begun removed."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any

_NAMES = ("SIGINT", "SIGTERM", "SIGHUP")
_BASE = 128
"""What a shell adds to the number of the signal that ended a program, for its exit code."""


class _StoppedError(KeyboardInterrupt):
    """A signal came; not a plain `KeyboardInterrupt`, of which Python remembers the passing, to end by SIGINT."""


class Signals:
    """The signals that came during a run.

    Attributes
    ----------
    came : int or None
        Number of the first one.
    """

    def __init__(self) -> None:
        self.came: int | None = None

    @property
    def exit_code(self) -> int:
        """130 for SIGINT (also where somebody pressed the keys for it at a question), 143 SIGTERM, 129 SIGHUP."""
        return _BASE + (self.came or signal.SIGINT)

    def interrupt(self, number: int, _: FrameType | None) -> None:
        """Note a signal and interrupt the run; a second one is ignored, so that what was begun can be removed."""
        if self.came is None:
            self.came = number
            raise _StoppedError


@contextmanager
def signals_end_the_run() -> Iterator[Signals]:
    """Let signals interrupt the block; those that the caller ignores stay so, as below ``nohup``."""
    signals = Signals()
    kept: dict[int, Any] = {}
    if threading.current_thread() is threading.main_thread():
        for name in _NAMES:
            number = getattr(signal, name, None)
            if number is not None and signal.getsignal(number) in {signal.SIG_DFL, signal.default_int_handler}:
                kept[number] = signal.signal(number, signals.interrupt)
    try:
        yield signals
    finally:
        for number, handler in kept.items():
            signal.signal(number, handler)


def ignore_signals() -> None:
    """Ignore signals from now on: the run has ended, and its exit code stands."""
    for name in _NAMES:
        number = getattr(signal, name, None)
        if number is not None:
            signal.signal(number, signal.SIG_IGN)
