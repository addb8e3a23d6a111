"""Logged values on the time axis of their log: the latest value at each record, shifted by its latency.

A value is logged when it is new, and holds until the next. A part with a latency (DDI 143, milliseconds, may be
negative) reports a value that much before it is true on the ground: the value is taken to hold from the time of its
record plus the latency. Parts below take over the latency of the part above. (Meaning of the sign: from memory.)
"""

from __future__ import annotations

from collections.abc import Container, Mapping
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from taskdata.fieldwork.clock import Clock, clock
from taskdata.fieldwork.tree import Tree, constant
from taskdata.geometry.arrays import Floats
from taskdata.isoxml.dictionary import entries
from taskdata.model.machines import Part
from taskdata.model.tasks import Log, LogRecords

LATENCY = 143
WORK_STATE = 141
CONDENSED = range(161, 177)
ACTUAL_WIDTH = 67
RATES = frozenset(ddi for ddi, item in entries().items() if item.group in {"rate", "yield"} and item.kind == "actual")
"""Actual rates and yields."""

WORK_DDIS = frozenset({WORK_STATE, *CONDENSED, ACTUAL_WIDTH}) | RATES
"""What tells when a part works."""

Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]


class Held(NamedTuple):
    """The value of one quantity at every record, (n,) raw, and where one is known at all, (n,)."""

    value: Integers
    known: Flags


class Values:
    """The values of a log.

    Parameters
    ----------
    log : Log
        What its value indices mean.
    records : LogRecords
        What it holds.
    trees : mapping of str to Tree
        Machines by the identifier of each of their parts.
    """

    def __init__(self, log: Log, records: LogRecords, trees: Mapping[str, Tree]) -> None:
        self.records, self.trees = records, trees
        self.count = len(records.time)
        self.quantities = log.quantities
        self._channels: dict[tuple[int, str | None], int] = {}
        for index, quantity in enumerate(log.quantities):
            self._channels.setdefault((quantity.ddi, quantity.part), index)
        self._kept: dict[tuple[int, str | None], Held | None] = {}

    @cached_property
    def clock(self) -> Clock:
        """The time at each record."""
        return clock(self.records.time)

    @property
    def seconds(self) -> Floats | None:
        """Seconds since the first stamp at each record, never falling; None where no two stamps tell the time."""
        return self.clock.seconds

    def parts(self, ddis: Container[int]) -> list[tuple[int, str | None]]:
        """Return quantity and part of every channel of these quantities, in the order of the log."""
        return [key for key in self._channels if key[0] in ddis]

    def held(self, ddi: int, part: str | None) -> Held | None:
        """Return the latest value at each record, None where the log holds none at all."""
        key = (ddi, part)
        if key not in self._kept:
            index = self._channels.get(key)
            self._kept[key] = None if index is None else self._held(index, self._latency(part))
        return self._kept[key]

    def last(self, ddi: int, part: str | None) -> int | None:
        """Return the last value that was logged, None where there is none."""
        index = self._channels.get((ddi, part))
        chosen = np.flatnonzero(self.records.value_index == index) if index is not None else np.empty(0, dtype=np.intp)
        if len(chosen) == 0:
            return None
        return int(self.records.value[chosen[np.argmax(self.records.value_record[chosen])]])

    def _held(self, index: int, latency: float) -> Held | None:
        chosen = np.flatnonzero(self.records.value_index == index)
        if len(chosen) == 0:
            return None
        record = self.records.value_record[chosen]
        order = np.argsort(record, kind="stable")
        record, value = record[order], self.records.value[chosen][order].astype(np.int64)
        if latency == 0.0 or self.seconds is None:
            place = np.searchsorted(record, np.arange(self.count), side="right") - 1
        else:
            place = np.searchsorted(self.seconds[record] + latency, self.seconds + 1e-6, side="right") - 1
        return Held(value[np.maximum(place, 0)], np.asarray(place >= 0))

    def _latency(self, part: str | None) -> float:
        """Return the latency of a part in seconds: its own, else that of the nearest part above."""
        tree = self.trees.get(part or "")
        found = None if tree is None else tree.part(part)
        for item in () if tree is None or found is None else tree.upwards(found):
            raw = self._delay(item)
            if raw is not None:
                return raw / 1000.0
        return 0.0

    def _delay(self, part: Part) -> int | None:
        given = constant(part, LATENCY)
        return self.last(LATENCY, part.id) if given is None else given
