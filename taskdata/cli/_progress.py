"""Progress on a terminal: what is done, how much of it, how fast, and how long it still takes.

Nothing is shown in the first two seconds, so that what is quick stays quiet.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext
from typing import TYPE_CHECKING, TypeAlias

from taskdata.amounts import duration
from taskdata.progress import BYTES, Stage, each, stage, watched_by
from taskdata.visible import visible

if TYPE_CHECKING:
    from rich.live import Live
    from rich.table import Table

Aside: TypeAlias = Callable[[], AbstractContextManager[object]]

DELAY_S = 2.0
"""Seconds from the beginning of a run after which progress is shown."""

_REFRESHES_S = 8
_BAR_WIDTH = 20
_SHOWN = 3
"""How many stages are shown at once: the outermost one, and the innermost of the others."""
_LONGEST = 40
"""Characters of what is done; of a longer text, such as a path, the end is shown."""
_PREFIXES = ((1e9, "GB"), (1e6, "MB"), (1e3, "kB"), (1.0, "B"))


class Display:
    """Watches the stages of a run, and shows them on stderr once it has taken `DELAY_S` seconds.

    One thread tells of stages, a timer shows them for the first time, and a third one draws. What draws takes no lock
    of these: the stages are replaced as a whole and never changed in number.

    Parameters
    ----------
    words : str
        What the run does; shown while no stage is under way.
    clock : callable
        Returns seconds.
    """

    def __init__(self, words: str, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._telling = threading.RLock()
        self._showing = threading.RLock()
        self._stages = {0: Stage(words, "", None, False, clock())}
        self._next = 1
        self._live: Live | None = None
        self._over = False
        self._due = False
        self._timer = threading.Timer(DELAY_S, self._fall_due)
        self._timer.daemon = True
        self._timer.start()

    def begin(self, what: str, unit: str, total: int | None, *, about: bool) -> int:
        """See `taskdata.progress.Watcher`."""
        with self._telling:
            number, self._next = self._next, self._next + 1
            self._stages = {**self._stages, number: Stage(what, unit, total, about, self._clock())}
        return number

    def advance(self, number: int, amount: int) -> None:
        """See `taskdata.progress.Watcher`."""
        item = self._stages.get(number)
        if item is not None:
            item.done += amount

    def end(self, number: int) -> None:
        """See `taskdata.progress.Watcher`."""
        with self._telling:  # the collector may end an abandoned stage in any thread
            self._stages = {other: item for other, item in self._stages.items() if other != number}

    @contextmanager
    def paused(self) -> Iterator[None]:
        """Take the progress off the terminal while the block prints."""
        with self._showing:
            self._hide()
            try:
                yield
            finally:
                self._show()

    @property
    def on_screen(self) -> bool:
        """Whether the progress stands on the terminal now."""
        return self._live is not None

    def close(self) -> None:
        """Take the progress off the terminal for good."""
        self._timer.cancel()
        with self._showing:
            self._over = True
            self._hide()

    def _fall_due(self) -> None:
        with self._showing:
            self._due = True
            self._show()

    def _show(self) -> None:
        if self._over or not self._due or self._live is not None:
            return
        from rich.console import Console
        from rich.live import Live

        self._live = Live(
            console=Console(stderr=True),
            get_renderable=self._table,
            refresh_per_second=_REFRESHES_S,
            transient=True,
            redirect_stdout=False,
            redirect_stderr=False,
        )
        self._live.start(refresh=True)

    def _hide(self) -> None:
        live, self._live = self._live, None
        if live is not None:
            live.stop()

    def _table(self) -> Table:
        from rich.progress_bar import ProgressBar
        from rich.table import Table

        table = Table.grid(padding=(0, 2))
        for _ in range(5):
            table.add_column(no_wrap=True)
        now = self._clock()
        for item in self.shown():
            total = None if item.total is None else float(max(item.total, item.done, 1))
            bar = ProgressBar(total=total, completed=item.done, width=_BAR_WIDTH, pulse=total is None)
            table.add_row(_end(visible(item.what)), bar, *facts(item, now))
        return table

    def shown(self) -> list[Stage]:
        """Return the stages to show, the outermost first."""
        run, *stages = self._stages.values()
        return [*stages[:1], *stages[1:][1 - _SHOWN :]] or [run]


@contextmanager
def progress(words: str, *, quiet: bool) -> Iterator[Aside]:
    """Show the progress of the block on stderr where that is a terminal.

    Parameters
    ----------
    words : str
        What the run does; shown while no stage is under way.
    quiet : bool
        Show nothing.

    Yields
    ------
    callable
        Returns a context in which something else may be printed.
    """
    if quiet or not sys.stderr.isatty():
        yield nullcontext
        return
    display = Display(words)
    try:
        with watched_by(display):
            yield display.paused
    finally:
        display.close()


def in_turn(sources: Sequence[str], what: str) -> Iterator[str]:
    """Yield sources, each a stage of its own, and several counted."""
    for source in each(sources, what, "sources") if len(sources) > 1 else sources:
        with stage(source, ""):
            yield source


def facts(item: Stage, now: float) -> tuple[str, str, str]:
    """Return how much of a stage is done, how fast, and how long it still takes or, where that is open, has taken."""
    took = max(now - item.began, 0.0)
    if not item.unit:
        return "", "", f"{duration(took)} so far"
    rate = item.done / took if took > 0.0 else 0.0
    if item.total is None or rate == 0.0:
        return amount(item), speed(item.unit, rate), f"{duration(took)} so far"
    return amount(item), speed(item.unit, rate), f"{duration(max(item.total - item.done, 0) / rate)} left"


def amount(item: Stage) -> str:
    """Return how much is done, of how much: ``42.1 of 99.0 MB``, ``12 of 280 rules``, ``1,200 records``."""
    total = item.total if item.total is None else max(item.total, item.done)
    of = " of about " if item.about else " of "
    if item.unit == BYTES:
        size, prefix = _prefix(item.done if total is None else total)
        parts = [item.done] if total is None else [item.done, total]
        digits = 0 if prefix == "B" else 1
        return f"{of.join(f'{part / size:.{digits}f}' for part in parts)} {prefix}"
    parts = [item.done] if total is None else [item.done, total]
    return f"{of.join(f'{part:,}' for part in parts)} {item.unit}"


def speed(unit: str, rate: float) -> str:
    """Return a rate: ``18.3 MB/s``, ``410,000 records/s``, below one a second ``12 sets/min``; blank for none."""
    if rate <= 0.0:
        return ""
    if unit == BYTES:
        size, prefix = _prefix(rate)
        return f"{rate / size:.1f} {prefix}/s"
    return f"{rate:,.0f} {unit}/s" if rate >= 1.0 else f"{rate * 60.0:.1f} {unit}/min"


def _end(text: str) -> str:
    return text if len(text) <= _LONGEST else f"...{text[3 - _LONGEST :]}"


def _prefix(value: float) -> tuple[float, str]:
    return next(((size, prefix) for size, prefix in _PREFIXES if value >= size), _PREFIXES[-1])
