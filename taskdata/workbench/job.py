"""One job: what it does, how far it is, how it ended, and the folders that it made."""

from __future__ import annotations

import errno
import shutil
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from taskdata.errors import TaskdataError
from taskdata.page.wording import Wording
from taskdata.progress import watched_by
from taskdata.workbench.history import Done
from taskdata.workbench.naming import in_page
from taskdata.workbench.watching import Cancelled, Watched

_PATIENCE_S = 0.3
"""How long a job that was ended may take until it next says how far it is; then it is ended wherever it is."""
_CLEARING_S = 2.0
"""How long it may take to clear away before it is ended once more."""


class Job:
    """The job that runs, or the last one that failed or was ended.

    Parameters
    ----------
    kind : str
    options : dict
    """

    def __init__(self, kind: str, options: dict[str, Any]) -> None:
        self.kind, self.options = kind, options
        self.watched = Watched()
        self.state = "running"
        self.error: str | None = None
        self.places: list[Path] = []
        self._over = threading.Event()
        self._thread: threading.Thread | None = None
        self._began = time.monotonic()
        self._ended: float | None = None

    def start(self, work: Callable[[], Done], done: Callable[[Done], None], over: Callable[[], None]) -> None:
        """Do the work in a thread of its own.

        Parameters
        ----------
        work : callable
        done : callable
            Is given what it gave.
        over : callable
            Is called when its state has changed, however it ended.
        """
        self._thread = threading.Thread(target=self._run, args=(work, done, over), daemon=True)
        self._thread.start()

    def cancel(self) -> None:
        """End the work: where it says how far it is, or, where it does not say so soon, wherever it is."""
        if self.watched.cancel():
            threading.Thread(target=self._insist, daemon=True).start()

    def wait(self, seconds: float) -> None:
        """Wait until it is over, but no longer than so many seconds."""
        if self._thread is not None:
            self._over.wait(seconds)

    def document(self, word: Wording) -> dict[str, Any]:
        """Return what a page shows of it, stages in the language of the page."""
        stages = self.watched.document()
        return {
            "kind": self.kind,
            "state": self.state,
            "error": self.error,
            "ending": self.watched.asked_to_end,
            "took_s": (time.monotonic() if self._ended is None else self._ended) - self._began,
            "stages": [
                stage | {"what": word.t(word.phrase(stage["what"])), "unit": word.t(stage["unit"])} for stage in stages
            ],
        }

    def _run(self, work: Callable[[], Done], done: Callable[[Done], None], over: Callable[[], None]) -> None:
        state, error = "cancelled", None
        try:
            try:
                with watched_by(self.watched):
                    found = work()
                self.watched.finish()
                done(found)
                state = "done"
            except Exception as failure:
                state, error = "failed", why(failure)
                if not isinstance(failure, TaskdataError | OSError | MemoryError):
                    raise
        except Cancelled:
            pass
        finally:
            self._close(state, error, over)

    def _close(self, state: str, error: str | None, over: Callable[[], None]) -> None:
        """Say how it ended; of a job that gave nothing no file stays."""
        while not self._over.is_set():
            try:
                if state != "done":
                    for place in self.places:
                        shutil.rmtree(place, ignore_errors=True)
                self.state, self.error, self._ended = state, error, time.monotonic()
                over()
                self._over.set()
            except Cancelled:  # that came too late; there is nothing left to end
                continue

    def _insist(self) -> None:
        if self._thread is None or self._over.wait(_PATIENCE_S):
            return
        self.watched.interrupt(self._thread)
        while not self._over.wait(_CLEARING_S):
            self.watched.interrupt(self._thread, again=True)


def why(failure: BaseException) -> str:
    """Return in one line why something failed: what, where, why, and what to do."""
    if isinstance(failure, TaskdataError):
        return failure.told(in_page)
    if isinstance(failure, MemoryError) or (isinstance(failure, OSError) and failure.errno == errno.ENOMEM):
        return "there is not enough memory. Close other programs, or choose a part of the set"
    if isinstance(failure, OSError):
        where = f"{failure.filename}: " if failure.filename else ""
        reason = failure.strerror or type(failure).__name__
        return f"{where}a file could not be read or written ({reason}). Make room on the disk, then try again"
    return f"the program failed ({type(failure).__name__}). Undo the last step or drop the files again, and report it"
