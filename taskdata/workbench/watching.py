"""How far a job is, for the page; and the way to end one early."""

from __future__ import annotations

import threading
import time
from typing import Any

from taskdata.progress import Stage


class Cancelled(BaseException):
    """The user ended the job; no handler of failures may take it for one."""


class Watched:
    """Watches the stages of one job (`taskdata.progress.Watcher`); any thread may look at it, and end it."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._stages: dict[int, Stage] = {}
        self._next = 0
        self._stop = threading.Event()

    def begin(self, what: str, unit: str, total: int | None, *, about: bool) -> int:
        """See `taskdata.progress.Watcher`."""
        self._end_if_asked()
        with self._lock:
            number, self._next = self._next, self._next + 1
            self._stages[number] = Stage(what, unit, total, about, time.monotonic())
        return number

    def advance(self, number: int, amount: int) -> None:
        """See `taskdata.progress.Watcher`."""
        self._end_if_asked()
        with self._lock:
            stage = self._stages.get(number)
            if stage is not None:
                stage.done += amount

    def end(self, number: int) -> None:
        """See `taskdata.progress.Watcher`."""
        with self._lock:
            self._stages.pop(number, None)

    def cancel(self) -> None:
        """Let the job end when it next says how far it is."""
        self._stop.set()

    def document(self) -> list[dict[str, Any]]:
        """Return the stages, outermost first: what is done, of how much, and seconds that are left where known."""
        now = time.monotonic()
        with self._lock:
            return [
                {
                    "what": stage.what,
                    "unit": stage.unit,
                    "done": stage.done,
                    "total": stage.total,
                    "about": stage.about,
                    "left_s": _left(stage, now),
                }
                for stage in self._stages.values()
            ]

    def _end_if_asked(self) -> None:
        if self._stop.is_set():
            raise Cancelled


def _left(stage: Stage, now: float) -> float | None:
    took = now - stage.began
    if not stage.total or not stage.done or took <= 0.0:
        return None
    return max(0.0, (stage.total - stage.done) * took / stage.done)
