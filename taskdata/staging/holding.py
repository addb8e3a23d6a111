"""Signals that end the program, kept back for the moments in which it must not end."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

_NAMES = ("SIGINT", "SIGTERM", "SIGHUP")


@contextmanager
def undisturbed() -> Iterator[None]:
    """Let signals that come during the block end the program after it."""
    if threading.current_thread() is not threading.main_thread():
        yield  # signals interrupt the main thread alone
        return
    waiting: list[int] = []
    kept: dict[int, Any] = {}
    for name in _NAMES:
        number = getattr(signal, name, None)
        if number is not None and callable(signal.getsignal(number)):
            kept[number] = signal.signal(number, lambda came, _: waiting.append(came))
    try:
        yield
    finally:
        for number, handler in kept.items():
            signal.signal(number, handler)
    if waiting:
        signal.raise_signal(waiting[0])
