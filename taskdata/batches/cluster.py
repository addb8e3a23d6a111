"""Workers of a Dask scheduler that is already there: it queues, sends again what a lost worker held, and counts.

A unit may then be done twice, which gives the same files in the same places, and one row.
"""

from __future__ import annotations

import itertools
import logging
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError
from contextlib import contextmanager, suppress
from typing import Any

from taskdata.batches.extra import required
from taskdata.batches.running import program
from taskdata.batches.unit import Unit
from taskdata.errors import SourceError, TargetError
from taskdata.results.batch import BatchedSource

_CONNECT_S = 20
_WORKERS_S = 60
_AHEAD = 8
"""Units that wait at the scheduler for each thread of a worker."""
_LOOK = 100
"""Units after which the workers are counted again."""
_ONE = threading.Lock()


def over_scheduler(
    units: Iterator[Unit], address: str, work: Callable[[Unit], BatchedSource]
) -> Iterator[BatchedSource]:
    """Yield what came of each unit, in the order in which they end.

    Parameters
    ----------
    units : iterator of Unit
    address : str
        Where the scheduler listens, such as ``tcp://127.0.0.1:8786``.
    work : callable
        Does one unit; a function of a module that workers have too.

    Raises
    ------
    TargetError
        The scheduler cannot be reached, has no workers, or is lost.
    """
    with _quiet():
        client = _connected(address)
        try:
            yield from _rows(client, units, address, work)
        except (OSError, CancelledError) as error:
            raise _lost(address) from error
        finally:
            with suppress(Exception):  # a scheduler that is gone has nothing to close
                client.close(timeout=2)


def _rows(
    client: Any, units: Iterator[Unit], address: str, work: Callable[[Unit], BatchedSource]
) -> Iterator[BatchedSource]:
    distributed = required("distributed")
    waiting: dict[Any, Unit] = {}
    ended = distributed.as_completed(loop=client.loop)
    for count in itertools.count():
        if count % _LOOK == 0:  # workers come and go
            room = max(1, sum(client.nthreads().values())) * _AHEAD
        for unit in itertools.islice(units, room - len(waiting) if len(waiting) < room else 0):
            future = client.submit(_one_at_a_time, work, unit, pure=False)
            waiting[future] = unit
            ended.add(future)
        if not waiting:
            return
        future = next(ended)
        unit = waiting.pop(future)
        if future.status in {"cancelled", "lost"}:
            raise _lost(address)
        yield _row(future, unit)
        future.release()


def _row(future: Any, unit: Unit) -> BatchedSource:
    if future.status == "finished":
        row = future.result()
        assert isinstance(row, BatchedSource)  # noqa: S101  # units give nothing else
        return row
    error = future.exception()
    died = type(error).__name__ == "KilledWorker"
    what = "could not be finished: its workers died" if died else "could not be finished"
    remedy = "Try it alone; if it needs too much memory, start workers with more"
    told = SourceError(what, where=unit.source, why=f"{type(error).__name__}: {error}"[:200], remedy=remedy)
    return BatchedSource.failed(unit.source, told)


def _one_at_a_time(work: Callable[[Unit], BatchedSource], unit: Unit) -> BatchedSource:
    """Do a unit; a worker with several threads does one after the other, for the libraries are not made for threads."""
    with _ONE:
        return work(unit)


def _connected(address: str) -> Any:
    distributed = required("distributed")
    try:
        client = distributed.Client(address, timeout=_CONNECT_S, set_as_default=False)
    except Exception as error:  # whatever its transport raises
        remedy = "Check the address, and that `dask scheduler` runs there"
        raise TargetError("cannot be reached", where=address, why=_why(error), remedy=remedy) from error
    try:
        client.wait_for_workers(1, timeout=_WORKERS_S)
        versions = set(client.run(program).values())
    except TimeoutError as error:
        client.close()
        remedy = "Start one with dask worker ADDRESS, of one thread"
        raise TargetError("has no workers", where=address, remedy=remedy) from error
    except Exception as error:  # whatever a worker raises that lacks the package
        client.close()
        remedy = "Install the same version of taskdata there"
        raise TargetError("has workers that cannot do this", where=address, why=_why(error), remedy=remedy) from error
    if versions != {program()}:
        client.close()
        why = f"they have {', '.join(sorted(versions))}, this is {program()}"
        remedy = "Install one version of taskdata everywhere"
        raise TargetError("has workers with another version", where=address, why=why, remedy=remedy)
    return client


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep the client from telling of connections on stderr: what matters of it is told in one line."""
    required("distributed")  # which sets levels when it is loaded
    names = [name for name in logging.root.manager.loggerDict if name.partition(".")[0] in {"distributed", "tornado"}]
    loggers = [logging.getLogger(name) for name in names]
    before = [item.level for item in loggers]
    try:
        for item in loggers:
            item.setLevel(logging.CRITICAL + 1)
        yield
    finally:
        for item, level in zip(loggers, before, strict=True):
            item.setLevel(level)


def _lost(address: str) -> TargetError:
    remedy = "Start it again and repeat the call: what is finished is kept"
    return TargetError("was lost", where=address, remedy=remedy)


def _why(error: Exception) -> str:
    return " ".join(f"{type(error).__name__}: {error}".split())[:200]
