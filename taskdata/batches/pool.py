"""Workers on this machine: processes, each bounded in memory, replaced after some sources and when it dies.

Linux alone tells how much memory another process takes; elsewhere there is no bound, which is told.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from dataclasses import field
from multiprocessing import forkserver
from multiprocessing.connection import Connection, wait
from multiprocessing.context import BaseContext
from pathlib import Path
from types import FrameType
from typing import NoReturn

from taskdata.batches.unit import Unit
from taskdata.dataclass import dataclass
from taskdata.errors import SourceError, TargetError, unfit
from taskdata.results.batch import BatchedSource

RENEWED_AFTER = 500
"""Sources after which a worker is replaced, so that nothing that a library keeps grows without end."""
_PRELOADED = ["taskdata.batches.preloaded"]
_ATTEMPTS = 2
_STARTS = 5
_LOOK_S = 0.1
"""Seconds between two looks at the memory of workers."""
_GRACE_S = 5.0
_SHARE = 0.8
"""How much of the memory of this machine all workers may take together."""
_STATM = "/proc/{}/statm"
_CGROUP = Path("/sys/fs/cgroup/memory.max")


def usual_workers() -> int:
    """Return how many workers there are where nobody says so: one for each processor that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def usual_memory(workers: int) -> int | None:
    """Return the bytes that each of so many workers may take where nobody says so, None where there is no bound."""
    if not can_bound():
        return None
    most = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES")
    with suppress(OSError, ValueError):
        most = min(most, int(_CGROUP.read_text(encoding="ascii")))
    return int(most * _SHARE / workers)


def can_bound() -> bool:
    """Tell whether the memory of workers can be bounded on this system."""
    return Path(_STATM.format(os.getpid())).exists()


def prepare() -> BaseContext:
    """Begin to load what workers have in common, in a process of its own, and return how workers are made."""
    if sys.platform == "win32":
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(_PRELOADED)
    forkserver.ensure_running()
    return context


def over_processes(
    units: Iterator[Unit], workers: int, memory: int | None, work: Callable[[Unit], BatchedSource]
) -> Iterator[BatchedSource]:
    """Yield what came of each unit, in the order in which they end.

    Parameters
    ----------
    units : iterator of Unit
    workers : int
        How many processes work at a time.
    memory : int or None
        Bytes that each of them may take; None = no bound.
    work : callable
        Does one unit; a function of a module, since it travels to other processes.
    """
    with closing(_Pool(prepare(), units, workers, memory, work)) as pool:
        yield from pool.rows()


@dataclass(eq=False)
class _Worker:
    """One process, and what it does now."""

    process: multiprocessing.process.BaseProcess
    pipe: Connection
    unit: Unit | None = None
    attempt: int = 1
    began: float = 0.0

    def taken(self) -> int:
        """Return the bytes of memory that it takes, 0 where that is not known."""
        try:
            text = Path(_STATM.format(self.process.pid)).read_text(encoding="ascii")
        except OSError:
            return 0
        return int(text.split()[1]) * os.sysconf("SC_PAGE_SIZE")

    def seconds(self) -> float:
        """Return how long it has worked on its source."""
        return time.monotonic() - self.began

    def end(self) -> None:
        """End the process, gently first."""
        self.pipe.close()
        self.process.terminate()
        self.process.join(_GRACE_S)
        if self.process.is_alive():
            self.process.kill()
            self.process.join()
        self.process.close()


@dataclass(eq=False)
class _Pool:
    context: BaseContext
    units: Iterator[Unit]
    size: int
    memory: int | None
    work: Callable[[Unit], BatchedSource]
    workers: list[_Worker] = field(default_factory=list)
    again: list[Unit] = field(default_factory=list)

    def rows(self) -> Iterator[BatchedSource]:
        """Yield a row for each unit."""
        while True:
            self._fill()
            busy = [worker for worker in self.workers if worker.unit is not None]
            if not busy:
                return
            ready = wait([worker.pipe for worker in busy], None if self.memory is None else _LOOK_S)
            for worker in busy:
                row = self._received(worker) if worker.pipe in ready else self._bounded(worker)
                if row is not None:
                    yield row

    def close(self) -> None:
        """End all workers."""
        for worker in self.workers:
            with suppress(OSError):
                worker.process.terminate()
        while self.workers:
            self.workers.pop().end()

    def _fill(self) -> None:
        """Give every idle worker something to do, as long as there is something."""
        for at in range(self.size):
            if at < len(self.workers) and self.workers[at].unit is not None:
                continue
            unit, attempt = (self.again.pop(), 2) if self.again else (next(self.units, None), 1)
            if unit is None:
                return
            if at >= len(self.workers):
                self.workers.append(self._started())
            self._give(self.workers[at], unit, attempt)

    def _started(self) -> _Worker:
        """Return a new worker; what starts workers is a process too, which is replaced where it was ended.

        Raises
        ------
        TargetError
            None can be started.
        """
        reason = ""
        for _ in range(_STARTS):
            here, there = self.context.Pipe()
            process = self.context.Process(target=_serve, args=(there, self.work), daemon=True)  # type: ignore[attr-defined]
            try:
                process.start()
            except (EOFError, OSError) as error:
                reason = unfit(error) if isinstance(error, OSError) else "the process that starts them was ended"
                here.close()
                time.sleep(_LOOK_S)
            else:
                return _Worker(process, here)
            finally:
                there.close()
        remedy = "Free memory or give fewer [[workers]], and run it again: what is finished is kept"
        raise TargetError("no worker can be started", why=reason, remedy=remedy)

    def _give(self, worker: _Worker, unit: Unit, attempt: int) -> None:
        worker.unit, worker.attempt, worker.began = unit, attempt, time.monotonic()
        with suppress(BrokenPipeError, ConnectionError):  # it died; that is told where its answer is waited for
            worker.pipe.send(unit)

    def _received(self, worker: _Worker) -> BatchedSource | None:
        """Return what a worker says; None where it died and its source is tried once more."""
        unit = worker.unit
        assert unit is not None  # noqa: S101  # only busy workers are asked
        try:
            row, goes_on = worker.pipe.recv()
        except (EOFError, OSError):
            worker.process.join(_GRACE_S)
            how = _death(worker.process.exitcode)
            self._remove(worker)
            if worker.attempt < _ATTEMPTS:
                self.again.append(unit)
                return None
            remedy = "Try it alone; if it needs too much memory, give fewer [[workers]]"
            told = SourceError(
                "could not be finished: its worker died, twice", where=unit.source, why=how, remedy=remedy
            )
            return BatchedSource.failed(unit.source, told, seconds=worker.seconds())
        worker.unit = None
        if not goes_on:
            self._remove(worker)
        assert isinstance(row, BatchedSource)  # noqa: S101  # workers send nothing else
        return row

    def _bounded(self, worker: _Worker) -> BatchedSource | None:
        """Return the row of a source that needs more memory than it may; its worker is ended."""
        unit = worker.unit
        if self.memory is None or unit is None or worker.taken() <= self.memory:
            return None
        worker.process.kill()  # before it takes more
        self._remove(worker)
        remedy = "Give fewer [[workers]], or more memory to each with [[memory_mb]]"
        what = f"needs more memory than a worker may take ({self.memory / 1e6:,.0f} MB)"
        told = SourceError(what, where=unit.source, remedy=remedy)
        return BatchedSource.failed(unit.source, told, seconds=worker.seconds())

    def _remove(self, worker: _Worker) -> None:
        self.workers.remove(worker)
        worker.end()


def _serve(pipe: Connection, work: Callable[[Unit], BatchedSource]) -> None:
    """Do units until the pipe closes, or a newer worker is due; an interrupt is for the process that started this."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, _leave)
    for count in range(1, RENEWED_AFTER + 1):
        try:
            unit = pipe.recv()
        except (EOFError, OSError):
            return
        pipe.send((work(unit), count < RENEWED_AFTER))


def _leave(number: int, frame: FrameType | None) -> NoReturn:
    """End by way of every ``finally``, so that nothing half written stays."""
    sys.exit(128 + number)


def _death(code: int | None) -> str:
    if code is None or code >= 0:
        return f"exit code {code}"
    try:
        return signal.Signals(-code).name
    except ValueError:
        return f"signal {-code}"
