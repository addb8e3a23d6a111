"""Runs of points as XML text: many rows of numbers to bytes at once, also those of the runs that follow."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from typing import Any

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.isoxml.tree.element import POINT, PointRun
from taskdata.isoxml.tree.letters import Letters, letters_of
from taskdata.isoxml.tree.point_store import PointStore

_AHEAD = 1 << 14
"""Points that are spelled at once at most, beyond the run that asks; their bytes fit the cache of a processor."""
_KEPT = 8
"""How many pieces that were spelled ahead are kept: one for each kind of run that takes turns with others."""
_ESCAPES = str.maketrans(
    {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "\t": "&#9;", "\n": "&#10;", "\r": "&#13;"}
)


def escaped(text: str) -> str:
    """Return the text of an attribute as it is written between quotes."""
    return text.translate(_ESCAPES)


@dataclass(slots=True)
class _Spelled:
    """Points ``start`` to ``stop`` of a store as they are written, and where each begins."""

    start: int
    stop: int
    octets: bytes
    begins: Sequence[int] | NDArray[np.intp]


class PointWriter:
    """Writes runs of points; what it spelled ahead is at hand when the next run asks.

    Parameters
    ----------
    end : str
        What closes a tag, such as ``/>``.
    """

    def __init__(self, end: str) -> None:
        self._end = end
        self._spelled: dict[tuple[PointStore, str], _Spelled] = {}

    def text(self, run: PointRun, before: str) -> str:
        """Return the points of a run, each with ``before`` in front of its tag."""
        found = self._spelled.get((run.store, before))
        if found is None or not found.start <= run.start <= run.stop <= found.stop:
            ahead = 0 if found is None or found.stop > run.start else min(_AHEAD, 4 * (found.stop - found.start))
            found = self._spell(run, before, run.start + ahead)
        if found is None:
            return _one_by_one(run, before, self._end)
        begin, end = (int(found.begins[at - found.start]) for at in (run.start, run.stop))
        return found.octets[begin:end].decode()

    def _spell(self, run: PointRun, before: str, stop: int) -> _Spelled | None:
        """Spell a run and those behind it; only the run where there is an odd text behind it."""
        stop = min(max(run.stop, stop), len(run.store.lines))
        found = _spelled(run.store, run.start, stop, before, self._end)
        if found is None and stop > run.stop:
            found = _spelled(run.store, run.start, run.stop, before, self._end)
        self._spelled.pop((run.store, before), None)
        if found is not None:
            self._spelled[run.store, before] = found
            if len(self._spelled) > _KEPT:
                del self._spelled[next(iter(self._spelled))]
        return found


def _spelled(store: PointStore, start: int, stop: int, before: str, end: str) -> _Spelled | None:
    """Spell points; None where there is none, or a text is odd or very long."""
    if stop <= start:
        return None
    literals, numbers = [f"{before}<{POINT}"], []
    for name, column in zip(store.names, store.columns, strict=True):
        literals[-1] += f' {name}="'
        constant = column.constant()
        if constant is not None:
            literals[-1] += f'{constant}"'
            continue
        letters = letters_of(column, start, stop)
        if letters is None:
            return None
        numbers.append(letters)
        literals.append('"')
    literals[-1] += end
    octets, width = _rows([literal.encode() for literal in literals], numbers, stop - start)
    if not any(number.ragged for number in numbers):
        return _Spelled(start, stop, octets.tobytes(), range(0, len(octets) + 1, width))
    begins = np.zeros(stop - start + 1, np.intp)
    np.cumsum(np.count_nonzero(octets.reshape(-1, width), axis=1), out=begins[1:])
    return _Spelled(start, stop, octets.tobytes().translate(None, b"\0"), begins)


def _rows(literals: list[bytes], numbers: list[Letters], count: int) -> tuple[NDArray[np.uint8], int]:
    """Put literals and the numbers between them side by side, row by row; return the bytes and the length of a row.

    Groups of letters reach over the ends of their number, so that literals and marks come last.
    """
    width = sum(map(len, literals)) + sum(number.width for number in numbers)
    octets = np.empty(count * width, np.uint8)

    def put(at: int, letters: NDArray[Any] | bytes | int, kind: str) -> None:
        np.ndarray((count,), kind, octets, at, (width,))[...] = letters

    at = 0
    last: list[tuple[int, NDArray[np.uint8] | bytes | int, str]] = []
    for literal, number in zip_longest(literals, numbers):
        last.append((at, literal, f"S{len(literal)}"))
        at += len(literal)
        if number is not None:
            for place, group in number.groups:
                put(at + place, group, "u4")
            last += [(at + place, mark, "u1") for place, mark in number.marks]
            at += number.width
    for piece in last:
        put(*piece)
    return octets, width


def _one_by_one(run: PointRun, before: str, end: str) -> str:
    form = "".join(f' {name}="%s"' for name in run.names)
    width = len(run.names)
    values = [""] * (len(run) * width)
    for at, name in enumerate(run.names):
        texts = run.texts(name)
        joined = "".join(texts)
        values[at::width] = texts if escaped(joined) == joined else map(escaped, texts)
    return f"{before}<{POINT}{form}{end}" * len(run) % tuple(values)
