"""What the workbench holds: what was dropped, the steps that were done, and the job that runs.

One person works with one program; a second tab or a reload sees the same. Everything lies in one temporary folder,
which goes with the program.
"""

from __future__ import annotations

import shutil
import tempfile
import threading
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from taskdata import strict_json
from taskdata.errors import UsageError
from taskdata.page.wording import Wording
from taskdata.workbench.drawing import Drawing
from taskdata.workbench.drops import Drop, inner_name
from taskdata.workbench.history import Done, History, Source, Step, mapped
from taskdata.workbench.job import Job
from taskdata.workbench.state import named, state_text

Work = Callable[["Bench", dict[str, Any]], Done]

_CLOSING_S = 8.0
_RELOAD = "Look at what is shown now, and do it again"


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
        self._revision = 0
        self._closed = False
        self._history = History()
        self.job: Job | None = None
        self._drop: Drop | None = None

    def close(self) -> None:
        """End the job, and remove the temporary folder with all that was dropped."""
        with self._lock:
            self._closed = True
            job = self.job
        until = time.monotonic() + _CLOSING_S
        if job is not None:
            job.cancel()
            job.wait(_CLOSING_S)
        while self.folder.exists() and time.monotonic() < until + 1.0:
            shutil.rmtree(self.folder, ignore_errors=True)

    @property
    def sources(self) -> tuple[Source, ...]:
        """What was dropped."""
        return self._history.now.sources

    @property
    def steps(self) -> tuple[Step, ...]:
        """What was done."""
        return self._history.now.steps

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
        return self.fresh_folder() / name

    def fresh_folder(self) -> Path:
        """Return a new folder in the temporary folder, which goes with the job that runs."""
        with self._lock:
            self._count += 1
            place = self.folder / f"step-{self._count}"
            if self.job is not None:
                self.job.places.append(place)
        place.mkdir()
        return place

    def begin_drop(self) -> Drop:
        """Begin to take files; what was begun before and not finished is forgotten."""
        with self._lock:
            self._refuse_running()
            self._forget_drop()
            self._count += 1
            self._drop = Drop(self.folder, self._count, self._max_upload)
            return self._drop

    def drop(self, number: int | None) -> Drop:
        """Return the drop that was begun.

        Parameters
        ----------
        number : int or None
            Which it has to be; None = any.

        Raises
        ------
        UsageError
            There is none, or it is another one.
        """
        drop = self._drop
        if drop is None or number not in {None, drop.number}:
            raise UsageError("this drop was ended", why="perhaps in another tab", remedy="Drop the files again")
        return drop

    def forget_drop(self, number: int | None) -> None:
        """Remove what of a drop has arrived, unless another one was begun."""
        with self._lock:
            if self._drop is not None and number in {None, self._drop.number}:
                self._forget_drop()

    def finish_drop(self, number: int | None, *, beside: bool, label: str = "") -> Source:
        """Make a source of the drop.

        Parameters
        ----------
        number : int or None
            Of the drop.
        beside : bool
            Keep what is there, so that two sets can be merged or compared.
        label : str
            The folder that was dropped; blank = what the files say.
        """
        with self._lock:
            self._refuse_running()
            drop = self.drop(number)
            path = drop.finish()
            self._drop = None
            told = inner_name(label, 0) if label else drop.label
            source = Source(drop.number, told, path, drop.files, drop.kept)
            if beside and self.sources:
                self._history.add(source)
            else:
                self._history.replace(source)
            self.job = None
            self._changed()
            self._sweep()
            return source

    def run(self, kind: str, options: dict[str, Any], revision: int | None = None) -> None:
        """Begin a job in a thread of its own.

        Parameters
        ----------
        kind : str
        options : dict
        revision : int or None
            Of the state that the page shows; None = any.

        Raises
        ------
        UsageError
            There is no such kind of job, one runs, or the page shows another state.
        """
        work = self._work.get(kind)
        if work is None:
            known = ", ".join(self._work)
            raise UsageError("is not a step of the workbench", where=kind, remedy=f"Choose one of {known}")
        with self._lock:
            self._refuse_running()
            self._refuse_old(revision)
            self.job = job = Job(kind, options)
            self._changed()
            job.start(partial(work, self, options), partial(self._keep, job), self._changed)

    def cancel(self) -> None:
        """End the job that runs, if one does."""
        job = self.job
        if job is not None:
            job.cancel()

    def undo(self, revision: int | None = None) -> None:
        """Forget the last step; what it was made of is there still.

        Raises
        ------
        UsageError
            A job runs, or the page shows another state.
        """
        with self._lock:
            self._refuse_running()
            self._refuse_old(revision)
            self._history.back()
            self.job = None
            self._changed()
            self._sweep()

    def document(self, word: Wording, known: int | None = None) -> str:
        """Return all that a page needs to show where the work stands, as a text in JSON.

        Parameters
        ----------
        word : Wording
            The language and units of the page.
        known : int or None
            Of the state that the page shows: where it is this one, the job alone is returned.
        """
        with self._lock:
            job, revision, history = self.job, self._revision, self._history
            head = {"revision": revision, "job": None if job is None else mapped(job.document(word), self.named)}
            if known == revision:
                return strict_json.dumps(head, compact=True)
            now, back = history.now, history.can_go_back
        return state_text(now, head | {"undo": now.last if back else None}, word)

    def named(self, text: str) -> str:
        """Return a text with what people call things in the place of paths in the temporary folder."""
        return named(text, self.folder, self.sources)

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
        raise UsageError("nothing was made to be saved yet", remedy="Make the file under Save first")

    def scene(self, number: int) -> Drawing:
        """Return the map of a step by its number.

        Raises
        ------
        UsageError
            There is none.
        """
        for step in self.steps:
            if step.number == number and step.done.scene is not None:
                return step.done.scene
        raise UsageError("the step has no map any more", remedy="Reload the page")

    def _keep(self, job: Job, done: Done) -> None:
        with self._lock:
            name = partial(named, folder=self.folder, sources=self.sources)
            self._count += 1
            self._history.did(Step(self._count, job.kind, job.options, done, tuple(job.places), name))

    def _changed(self) -> None:
        with self._lock:
            self._revision += 1

    def _forget_drop(self) -> None:
        if self._drop is not None:
            self._drop.forget()
            self._drop = None

    def _sweep(self) -> None:
        """Remove what no step needs any more, now or after an undo."""
        needed = self._history.places()
        if self._drop is not None and self._drop.path is not None:
            needed.add(self._drop.path)
        for place in self.folder.iterdir():
            if place not in needed and place.is_dir():
                shutil.rmtree(place, ignore_errors=True)
            elif place not in needed:
                place.unlink(missing_ok=True)

    def _refuse_running(self) -> None:
        if self._closed:
            raise UsageError("the program is ending", remedy="Start it again")
        if self.job is not None and self.job.state == "running":
            raise UsageError("something is being done already", remedy="Wait for it, or cancel it")

    def _refuse_old(self, revision: int | None) -> None:
        if revision is not None and revision != self._revision:
            raise UsageError("something else was done meanwhile", why="in another tab, perhaps", remedy=_RELOAD)
