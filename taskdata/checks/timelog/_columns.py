"""The values of a log: what lies beyond what a quantity can have, found in one pass for two rules."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._pieces import Numbers, StoredPiece
from taskdata.checks.timelog._watching import StoredWatch, Tally, found, watches
from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import distinct
from taskdata.quantities.plausible import ANY, Limits, listed, usual

Integers: TypeAlias = NDArray[np.int64]
CHUNK = 1 << 16
POSITIONS = 256
SIDE_BY_SIDE = 64
"""Records taken as one row, so that the processor compares many values at once."""


@dataclass(frozen=True, slots=True)
class Beyond:
    """Values of one quantity of a log that lie beyond the same bounds.

    ``wrong`` are their records, ``value`` is the raw value farthest off; ``by_dictionary`` tells whose bounds they are:
    those of the dictionary, or those of common practice.
    """

    file: str
    ddi: int
    target: str
    limits: Limits
    by_dictionary: bool
    wrong: Tally
    value: int


@dataclass(eq=False)
class _Extreme:
    """Records with values beyond some bounds, the raw value farthest off, and by how much it is."""

    wrong: Tally = field(default_factory=Tally)
    value: int = 0
    off: int = 0


def beyond(subject: Subject) -> Iterator[Beyond]:
    """Yield every quantity of every log with values beyond its bounds; looked for once for both rules."""
    for log in found(subject, _Values):
        for position, by_dictionary in sorted(log.extremes, key=lambda key: (key[0], not key[1])):
            extreme = log.extremes[position, by_dictionary]
            item = log.stored.layout.values[position]
            limits = _limits(item.ddi or 0, by_dictionary=by_dictionary)
            named = (log.stored.file, item.ddi or 0, item.element)
            yield Beyond(*named, limits, by_dictionary, extreme.wrong, extreme.value)


@watches
class _Values(StoredWatch):
    """What lies beyond the range of the dictionary, and of the rest what lies beyond common practice.

    ``extremes`` are by the position of the quantity in the header, and whether the bounds are those of the dictionary.
    """

    def begin(self) -> None:
        values = self.stored.layout.values[: POSITIONS - 1]
        bounds = [ANY if item.ddi is None else _narrower(item.ddi) for item in values]
        self.wanted = any(item != ANY for item in bounds)
        self.low, self.high = np.full(POSITIONS, ANY.least, np.int32), np.full(POSITIONS, ANY.most, np.int32)
        if bounds:
            self.low[: len(bounds)], self.high[: len(bounds)] = zip(*bounds, strict=True)
        self.constant = {
            position: item.constant
            for position, item in enumerate(values)
            if item.constant is not None and not bounds[position].hold(item.constant)
        }
        self.extremes: dict[tuple[int, bool], _Extreme] = {}

    def see(self, piece: StoredPiece) -> None:
        wrong = _outside(piece, self.low, self.high)
        if len(wrong):
            index, value = piece.records.index[wrong], piece.records.value[wrong]
            records = np.searchsorted(np.cumsum(piece.records.counts, dtype=np.int64), wrong, side="right")
            for position in distinct(index).tolist():
                here = index == position
                self._note(piece, position, records[here], value[here])
        for position, constant in self.constant.items():
            everywhere = np.arange(len(piece.records))
            self._note(piece, position, everywhere, np.full(len(everywhere), constant, np.int64))

    def _note(self, piece: StoredPiece, position: int, records: Numbers, values: NDArray[np.integer]) -> None:
        ddi = self.stored.layout.values[position].ddi or 0
        own = listed(ddi)
        outside = (values < own.least) | (values > own.most)
        for by_dictionary, chosen in ((True, outside), (False, ~outside)):
            if chosen.any():
                limits, numbers = _limits(ddi, by_dictionary=by_dictionary), values[chosen].astype(np.int64)
                off = np.maximum(limits.least - numbers, numbers - limits.most)
                at = int(off.argmax())
                found = self.extremes.setdefault((position, by_dictionary), _Extreme())
                if not found.wrong.count or off[at] > found.off:
                    found.value, found.off = int(numbers[at]), int(off[at])
                found.wrong.add(piece, records[chosen])


def _limits(ddi: int, *, by_dictionary: bool) -> Limits:
    return listed(ddi) if by_dictionary else usual(ddi)


def _narrower(ddi: int) -> Limits:
    own, common = listed(ddi), usual(ddi)
    return Limits(max(own.least, common.least), min(own.most, common.most))


def _outside(piece: StoredPiece, low: NDArray[np.int32], high: NDArray[np.int32]) -> Integers:
    """Return which values lie beyond the bounds of their position, in pieces that fit the processor's cache."""
    index, value = piece.records.index, piece.records.value
    if piece.regular is not None and _all_within(value, low[piece.regular], high[piece.regular]):
        return np.zeros(0, np.int64)
    found = []
    for start in range(0, index.size, CHUNK):
        places, numbers = index[start : start + CHUNK], value[start : start + CHUNK]
        wrong = (numbers < low[places]) | (numbers > high[places])
        if wrong.any():
            found.append(np.flatnonzero(wrong) + start)
    return np.concatenate(found) if found else np.zeros(0, np.int64)


def _all_within(value: NDArray[np.int32], low: NDArray[np.int32], high: NDArray[np.int32]) -> bool:
    """Tell whether the values of a log whose records are alike lie within the bounds of their positions."""
    width = len(low) * SIDE_BY_SIDE
    whole = value[: value.size // width * width].reshape(-1, width)
    parts = [whole, value[whole.size :].reshape(-1, len(low))]
    for part in parts:
        if len(part):
            least, most = part.min(axis=0).reshape(-1, len(low)), part.max(axis=0).reshape(-1, len(low))
            if (least < low).any() or (most > high).any():
                return False
    return True
