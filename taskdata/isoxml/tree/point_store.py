"""Columns that runs of points share, and how they grow: point after point as texts, or whole runs as bytes."""

from __future__ import annotations

from array import array
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from taskdata.isoxml.tree.decimals import DecimalColumn
from taskdata.mapped import ArrayStore

_BULK_AT = 1 << 20
"""Bytes of runs from which on they are turned into numbers; so many fit the cache of a processor."""
_TEXTS_AT = 1 << 16
"""Points as texts from which on they are turned into numbers."""
_QUOTE = ord('"')


class _Bulk(NamedTuple):
    """A run as it is written: its bytes and points, the first line, lines from point to point, texts put in before."""

    octets: bytes
    points: int
    line: int
    step: int
    texts: int


class _Block(NamedTuple):
    lines: NDArray[np.int64]
    columns: tuple[DecimalColumn, ...]


class PointStore:
    """Columns that the runs of points of one file share; sealed once everything is turned into numbers.

    Attributes
    ----------
    arrays : ArrayStore
        Keeps columns, lines and positions; stores of one file have it in common.
    names : tuple of str
        Attribute letters in the order of the source.
    pending : list of str
        The values of point after point in one flat list, which costs far less than a list for each.
    pending_lines : array of int
        The line of each point in ``pending``.
    columns : tuple of DecimalColumn
        A column for each name; empty until the store is sealed.
    lines : int array (n,)
        The line of each point, 0 if unknown; empty until the store is sealed.
    positions : float64 (n, 2) or None
        Longitude and latitude of every point, once a run was asked for its own (``PointRun.positions``).
    """

    __slots__ = (
        "_blocks",
        "_bulk",
        "_counted",
        "arrays",
        "columns",
        "lines",
        "names",
        "pending",
        "pending_lines",
        "positions",
    )

    def __init__(self, names: tuple[str, ...], arrays: ArrayStore | None = None) -> None:
        self.names = names
        self.arrays = arrays or ArrayStore()
        self.pending: list[str] = []
        self.pending_lines = array("q")
        self.lines: NDArray[np.signedinteger] = np.empty(0, np.int64)
        self.columns: tuple[DecimalColumn, ...] = ()
        self.positions: NDArray[np.float64] | None = None
        self._bulk: list[_Bulk] = []
        self._blocks: list[_Block] = []
        self._counted = 0

    def count(self) -> int:
        """Return how many points were put in before the store was sealed."""
        return self._counted + len(self.pending_lines)

    def take_back(self) -> tuple[list[str], int]:
        """Take out the point that was put in last, as texts; return its values and its line."""
        width = len(self.names)
        values = self.pending[-width:]
        del self.pending[-width:]
        return values, self.pending_lines.pop()

    def add_bulk(self, octets: bytes, count: int, line: int, step: int) -> None:
        """Put a run in as it is written.

        Parameters
        ----------
        octets : bytes
            So many start tags of printable ASCII and blanks, each with the attributes of ``names`` in this order, with
            quotes around values alone; something stands behind the last value.
        count : int
            How many points they are.
        line, step : int
            The line of the first one, and how many lines are from one to the next.
        """
        self._bulk.append(_Bulk(octets.replace(b"'", b'"'), count, line, step, len(self.pending_lines)))
        self._counted += count

    def relieve(self) -> None:
        """Turn texts and bytes into numbers where there are many of them."""
        if len(self.pending_lines) >= _TEXTS_AT or sum(len(bulk.octets) for bulk in self._bulk) >= _BULK_AT:
            self._flush()

    def seal(self) -> None:
        """Turn everything collected into columns; nothing is put in any more."""
        self._flush()
        blocks, self._blocks = self._blocks, []
        nothing = _Block(np.empty(0, np.int64), tuple(DecimalColumn.from_texts([]) for _ in self.names))
        lines, columns = zip(*(blocks or [nothing]), strict=True)
        numbers = np.concatenate(lines)
        fits = numbers.max(initial=0) <= np.iinfo(np.int32).max
        self.lines = self.arrays.kept(numbers.astype(np.int32) if fits else numbers)
        joined = (DecimalColumn.joined(parts) for parts in zip(*columns, strict=True))
        self.columns = tuple(column.kept_in(self.arrays) for column in joined)

    def chosen(self, rows: NDArray[np.intp]) -> PointStore:
        """Return a sealed store of some rows, in their order."""
        store = PointStore(self.names)
        store.columns = tuple(column.chosen(rows) for column in self.columns)
        store.lines = self.lines[rows]
        if self.positions is not None:
            store.positions = store.arrays.kept(self.positions[rows])
            store.positions.flags.writeable = False
        return store

    def _flush(self) -> None:
        """Turn what was put in since the last time into a block of numbers."""
        if not self._bulk and not self.pending_lines:
            return
        width, lines = len(self.names), np.array(self.pending_lines, np.int64)
        texts = _Block(lines, tuple(DecimalColumn.from_texts(self.pending[at::width]) for at in range(width)))
        self._counted += len(lines)
        self._blocks.append(_mixed(texts, _block(self._bulk, width), self._bulk) if self._bulk else texts)
        self.pending, self.pending_lines, self._bulk = [], array("q"), []


def _block(runs: list[_Bulk], width: int) -> _Block:
    """Return the numbers of runs one behind the other."""
    octets = b"".join(run.octets for run in runs)
    quotes = np.flatnonzero(np.frombuffer(octets, np.uint8) == _QUOTE).reshape(-1, 2 * width)
    columns = (DecimalColumn.from_places(octets, quotes[:, at] + 1, quotes[:, at + 1]) for at in range(0, 2 * width, 2))
    counts, firsts, steps = (np.array([run[at] for run in runs], np.int64) for at in (1, 2, 3))
    numbers = np.arange(len(quotes)) - np.repeat(np.cumsum(counts) - counts, counts)
    return _Block(np.repeat(firsts, counts) + numbers * np.repeat(steps, counts), tuple(columns))


def _mixed(texts: _Block, bulk: _Block, runs: list[_Bulk]) -> _Block:
    """Put the points that came as texts before, between and behind runs to where they stood."""
    if not len(texts.lines):
        return bulk
    counts = np.array([run.points for run in runs])
    before = np.array([run.texts for run in runs])
    at_runs = np.arange(len(bulk.lines)) + np.repeat(before, counts)
    total = len(texts.lines) + len(bulk.lines)
    is_text = np.ones(total, bool)
    is_text[at_runs] = False
    order = np.empty(total, np.intp)
    order[is_text] = np.arange(len(texts.lines))
    order[at_runs] = np.arange(len(texts.lines), total)
    joined = (DecimalColumn.joined(pair).taken(order) for pair in zip(texts.columns, bulk.columns, strict=True))
    return _Block(np.concatenate([texts.lines, bulk.lines])[order], tuple(joined))
