"""What the workbench holds: what was dropped, the steps that were done, and the job that runs.

One person works with one program; a second tab or a reload sees the same. Everything lies in one temporary folder,
which goes with the program.
"""

from __future__ import annotations

import os
import re
import shutil
import tempfile
import threading
from collections.abc import Callable
from dataclasses import field
from pathlib import Path
from typing import Any

from taskdata.arguments import as_option
from taskdata.dataclass import dataclass
from taskdata.errors import TaskdataError, UsageError
from taskdata.progress import watched_by
from taskdata.workbench.drops import Drop, inner_name
from taskdata.workbench.watching import Cancelled, Watched

Work = Callable[["Bench", dict[str, Any]], "Done"]


@dataclass(frozen=True)
class Source:
    """Something that was dropped: its number, what people call it, and the file that holds it."""

    number: int
    label: str
    path: Path


@dataclass(frozen=True)
class Done:
    """What a job gave.

    Parameters
    ----------
    result : dict
        For the page.
    path : Path or None
        The set that later steps work on; None = the same as before.
    download : Path or None
        A file to be saved.
    scene : Path or None
        A file with the map that shows it; None = the map before.
    """

    result: dict[str, Any]
    path: Path | None = None
    download: Path | None = None
    scene: Path | None = None


@dataclass(frozen=True)
class Step:
    """A job that was done: its kind, what was asked for, and what it gave."""

    kind: str
    options: dict[str, Any]
    done: Done


@dataclass
class Job:
    """The job that runs, or the last one that failed or was ended."""

    kind: str
    watched: Watched = field(default_factory=Watched)
    state: str = "running"
    error: str | None = None


class Bench:
    """The state of the program.

    Parameters
    ----------
    max_upload : int
        Bytes that one drop may have.
    work : dict of str to callable
        What each kind of job does.
    """

    def __init__(self, max_upload: int, work: dict[str, Work]) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="taskdata-workbench-"))
        self._max_upload = max_upload
        self._work = work
        self._lock = threading.RLock()
        self._count = 0
        self.sources: list[Source] = []
        self.steps: list[Step] = []
        self.job: Job | None = None
        self._drop: Drop | None = None
        self._thread: threading.Thread | None = None

    def close(self) -> None:
        """End the job, and remove the temporary folder with all that was dropped."""
        job, thread = self.job, self._thread
        if job is not None:
            job.watched.cancel()
        if thread is not None:
            thread.join(timeout=5.0)
        shutil.rmtree(self.folder, ignore_errors=True)

    @property
    def current(self) -> Path:
        """The set that the next step works on: what the last step that changed one made, or what was dropped.

        Raises
        ------
        UsageError
            Nothing was dropped.
        """
        for step in reversed(self.steps):
            if step.done.path is not None:
                return step.done.path
        if not self.sources:
            raise UsageError("nothing was dropped", remedy="Drop a stick's folder, an archive or files")
        return self.sources[0].path

    def fresh(self, name: str) -> Path:
        """Return a new path in the temporary folder that ends with a name."""
        with self._lock:
            self._count += 1
            place = self.folder / f"step-{self._count}"
        place.mkdir()
        return place / name

    def begin_drop(self) -> Drop:
        """Begin to take files; what was begun before and not finished is forgotten."""
        with self._lock:
            self._refuse_running()
            self._count += 1
            self._drop = Drop(self.folder, self._count, self._max_upload)
            return self._drop

    @property
    def drop(self) -> Drop:
        """The drop that was begun.

        Raises
        ------
        UsageError
            There is none.
        """
        if self._drop is None:
            raise UsageError("no drop was begun", remedy="Reload the page and drop the files again")
        return self._drop

    def finish_drop(self, *, beside: bool, label: str = "") -> Source:
        """Make a source of the drop.

        Parameters
        ----------
        beside : bool
            Keep what is there, so that two sets can be merged or compared.
        label : str
            The folder that was dropped; blank = what the files say.
        """
        with self._lock:
            drop = self.drop
            path = drop.finish()
            self._drop = None
            source = Source(self._count, inner_name(label, 0) if label else drop.label, path)
            self.sources = [*self.sources, source] if beside else [source]
            if not beside:
                self.steps = []
            self.job = None
            return source

    def run(self, kind: str, options: dict[str, Any]) -> None:
        """Begin a job in a thread of its own.

        Raises
        ------
        UsageError
            There is no such kind of job, or one runs.
        """
        work = self._work.get(kind)
        if work is None:
            raise UsageError("is not a step of the workbench", where=kind)
        with self._lock:
            self._refuse_running()
            self.job = job = Job(kind)
            self._thread = threading.Thread(target=self._do, args=(job, work, options), daemon=True)
            self._thread.start()

    def cancel(self) -> None:
        """End the job that runs, if one does."""
        if self.job is not None:
            self.job.watched.cancel()

    def undo(self) -> None:
        """Forget the last step; what it was made of is there still.

        Raises
        ------
        UsageError
            A job runs.
        """
        with self._lock:
            self._refuse_running()
            self.steps = self.steps[:-1]
            self.job = None

    def document(self) -> dict[str, Any]:
        """Return all that a page needs to show where the work stands."""
        with self._lock:
            job = self.job
            return {
                "sources": [{"number": item.number, "label": item.label} for item in self.sources],
                "steps": [
                    {"kind": step.kind, "options": step.options, "result": step.done.result} for step in self.steps
                ],
                "job": None
                if job is None
                else {"kind": job.kind, "state": job.state, "error": job.error, "stages": job.watched.document()},
                "download": any(step.done.download for step in self.steps),
                "scene": next((n for n in reversed(range(len(self.steps))) if self.steps[n].done.scene), None),
            }

    def named(self, text: str) -> str:
        """Return a text with what people call things in the place of paths in the temporary folder."""
        for source in sorted(self.sources, key=lambda item: -len(os.fspath(item.path))):
            text = text.replace(os.fspath(source.path), source.label).replace(source.path.name, source.label)
        folder = re.escape(os.fspath(self.folder) + os.sep)
        return re.sub(rf"{folder}(?:step-\d+{re.escape(os.sep)})?", "", text)

    def download(self) -> Path:
        """Return the file that was made to be saved.

        Raises
        ------
        UsageError
            There is none.
        """
        for step in reversed(self.steps):
            if step.done.download is not None:
                return step.done.download
        raise UsageError("nothing was made to be saved yet", remedy="Do the step before")

    def scene(self, number: int) -> Path:
        """Return the map of a step by its number, from 0.

        Raises
        ------
        UsageError
            There is none.
        """
        found = self.steps[number].done.scene if 0 <= number < len(self.steps) else None
        if found is None:
            raise UsageError("the step has no map", remedy="Reload the page")
        return found

    def _do(self, job: Job, work: Work, options: dict[str, Any]) -> None:
        try:
            with watched_by(job.watched):
                done = work(self, options)
        except Cancelled:
            job.state = "cancelled"
        except TaskdataError as error:
            job.state, job.error = "failed", error.told(as_option)
        except Exception as error:
            job.state, job.error = "failed", f"The program failed: {type(error).__name__}. Please report it."
            raise
        else:
            with self._lock:
                self.steps = [*self.steps, Step(job.kind, options, done)]
                job.state = "done"

    def _refuse_running(self) -> None:
        if self.job is not None and self.job.state == "running":
            raise UsageError("something is being done already", remedy="Wait for it, or cancel it")
