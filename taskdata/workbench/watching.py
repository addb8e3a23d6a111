"""How far a job is, for the page; and the way to end one early."""

from __future__ import annotations

import ctypes
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
        self._asked = self._ending = self._finished = False

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

    @property
    def asked_to_end(self) -> bool:
        """Whether the user ended the job."""
        return self._asked

    def cancel(self) -> bool:
        """Let the job end when it next says how far it is; tell whether it is the first time that this is asked."""
        with self._lock:
            first = not self._asked and not self._finished
            self._asked |= first
            return first

    def finish(self) -> None:
        """Say that the work is done, which nothing can end any more.

        Raises
        ------
        Cancelled
            It was ended before.
        """
        with self._lock:
            self._finished = not self._asked
        self._end_if_asked()

    def interrupt(self, thread: threading.Thread, *, again: bool = False) -> None:
        """End the job wherever it is, unless it has begun to end; ``again``: even then."""
        with self._lock:
            if thread.ident is None or self._finished or (self._ending and not again):
                return
            self._ending = True
            ctypes.pythonapi.PyThreadState_SetAsyncExc(ctypes.c_ulong(thread.ident), ctypes.py_object(Cancelled))

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
        if self._asked:
            self._ending = True
            raise Cancelled


def _left(stage: Stage, now: float) -> float | None:
    took = now - stage.began
    if not stage.total or not stage.done or took <= 0.0:
        return None
    return max(0.0, (stage.total - stage.done) * took / stage.done)
