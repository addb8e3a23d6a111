"""How far a long job is, told to whoever watches, and at no cost where nobody does.

What works calls `stage` or `each` and knows of no terminal; what shows it calls `watched_by`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import partial
from typing import Protocol, TypeVar

from taskdata.dataclass import dataclass

Item = TypeVar("Item")
Advance = Callable[[int], object]

BYTES = "bytes"
"""The unit of stages that count bytes; every other unit is a noun in the plural, such as ``records``."""


@dataclass
class Stage:
    """A stage as a watcher may keep it: what is done, how much of it there is, how much is done, when it began (s)."""

    what: str
    unit: str
    total: int | None
    about: bool
    began: float
    done: int = 0


class Watcher(Protocol):
    """What is told of every stage; stages may lie in one another, and the innermost ends first."""

    def begin(self, what: str, unit: str, total: int | None, *, about: bool) -> int:
        """Return a number for a stage that begins.

        Parameters
        ----------
        what : str
            What is done, verb first, such as ``Reading TASKDATA.XML``.
        unit : str
            What is counted, in the plural.
        total : int or None
            How many there are; None where that is not known.
        about : bool
            The total is an estimate.
        """
        ...

    def advance(self, number: int, amount: int) -> None:
        """Count ``amount`` more as done in the stage of that number."""
        ...

    def end(self, number: int) -> None:
        """Forget the stage of that number."""
        ...


_watcher: ContextVar[Watcher | None] = ContextVar("watcher", default=None)


@contextmanager
def watched_by(watcher: Watcher) -> Iterator[None]:
    """Tell ``watcher`` of every stage within the block, in this thread."""
    token = _watcher.set(watcher)
    try:
        yield
    finally:
        _watcher.reset(token)


@contextmanager
def stage(what: str, unit: str, total: int | None = None, *, about: bool = False) -> Iterator[Advance]:
    """Tell of a stage of work, and give a function to call with what was done since the last call.

    Parameters
    ----------
    what, unit, total, about
        See `Watcher.begin`.
    """
    watcher = _watcher.get()
    if watcher is None:
        yield _untold
        return
    number = watcher.begin(what, unit, total, about=about)
    try:
        yield partial(watcher.advance, number)
    finally:
        watcher.end(number)


def each(items: Collection[Item], what: str, unit: str) -> Iterator[Item]:
    """Yield items, each counted as done when the next is asked for."""
    with stage(what, unit, len(items)) as advance:
        for item in items:
            yield item
            advance(1)


def _untold(_: int) -> None:
    """Count for nobody."""
