"""Logged values on the time axis of their log: the latest value at each record, moved by its delay.

A value is logged when it is new, and holds until the next. Parts may state how long it takes from a command to its
effect (ISO 11783-11; parts below take over what the part above states):

- a setpoint takes effect so much after it was given as DDI 142 states, which is positive;
- a value that a part measures is true so much before or after it is logged as DDI 143 states. The dictionary leaves
  open which way that counts: it is taken to hold from the time of its record plus the delay, with a warning, unless the
  user gives the delay with its sign.

What DDI 205 and 206 state of commanded work states is applied in ``states``.
"""

from __future__ import annotations

from collections.abc import Container, Mapping
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from taskdata.fieldwork.logs.clock import Clock, clock
from taskdata.fieldwork.part_tree import Tree, constant
from taskdata.geometry.arrays import Floats
from taskdata.model.logs import Log, LogRecords
from taskdata.model.machines import Part
from taskdata.quantities.dictionary import entries, entry

SETPOINT_DELAY = 142
ACTUAL_DELAY = 143
WORK_STATE = 141
CONDENSED = range(161, 177)
COMMANDED_STATE = 289
COMMANDED_CONDENSED = range(290, 306)
COMMANDED = frozenset({COMMANDED_STATE, *COMMANDED_CONDENSED})
"""Work states that were asked for, not reported."""

ACTUAL_WIDTH = 67
RATES = frozenset(ddi for ddi, item in entries().items() if item.group in {"rate", "yield"} and item.kind == "actual")
"""Actual rates and yields."""

WORK_DDIS = frozenset({WORK_STATE, *CONDENSED, ACTUAL_WIDTH}) | COMMANDED | RATES
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
    delay_s : float, optional
        Seconds after its record from which on a measured value holds, negative before it, whatever parts state.
    """

    def __init__(self, log: Log, records: LogRecords, trees: Mapping[str, Tree], delay_s: float | None = None) -> None:
        self.records, self.trees, self.delay_s = records, trees, delay_s
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
            self._kept[key] = None if index is None else self._held(index, self._delay_of(ddi, part))
        return self._kept[key]

    def delayed(self, ddi: int, part: str | None, delay_s: float | None) -> Held | None:
        """Return the same with a delay of its own; None = as `held`."""
        index = self._channels.get((ddi, part))
        return self.held(ddi, part) if delay_s is None or index is None else self._held(index, delay_s)

    def last(self, ddi: int, part: str | None) -> int | None:
        """Return the last value that was logged, None where there is none."""
        index = self._channels.get((ddi, part))
        chosen = np.flatnonzero(self.records.value_index == index) if index is not None else np.empty(0, dtype=np.intp)
        if len(chosen) == 0:
            return None
        return int(self.records.value[chosen[np.argmax(self.records.value_record[chosen])]])

    def _held(self, index: int, latency: float) -> Held | None:
        if latency == 0.0 or self.seconds is None:
            held, known = self.records.held(index)
            return Held(held.astype(np.int64), known) if known.any() else None
        stored, known = self.records.stored(index)
        record = np.flatnonzero(known)
        if len(record) == 0:
            return None
        place = np.searchsorted(self.seconds[record] + latency, self.seconds + 1e-6, side="right") - 1
        return Held(stored[record].astype(np.int64)[np.maximum(place, 0)], np.asarray(place >= 0))

    def stated(self, part: Part, ddi: int) -> float | None:
        """Return a time in seconds that a part or the nearest above it states, in its description or in the log."""
        tree = self.trees.get(part.id)
        for item in (part,) if tree is None else tree.upwards(part):
            given = constant(item, ddi)
            raw = self.last(ddi, item.id) if given is None else given
            if raw is not None:
                return raw / 1000.0
        return None

    def _delay_of(self, ddi: int, part: str | None) -> float:
        """Return by how many seconds a value holds later than it was logged."""
        tree = self.trees.get(part or "")
        found = None if tree is None else tree.part(part)
        if ddi in COMMANDED:
            return 0.0
        if entry(ddi).kind == "setpoint":
            return max(0.0, (None if found is None else self.stated(found, SETPOINT_DELAY)) or 0.0)
        if self.delay_s is not None:
            return self.delay_s
        return (None if found is None else self.stated(found, ACTUAL_DELAY)) or 0.0

    @cached_property
    def assumed(self) -> dict[str, float]:
        """Delays in seconds whose sign is assumed, by the part that states or rates are logged of."""
        if self.delay_s is not None:
            return {}
        measured = {part for ddi, part in self.parts(WORK_DDIS - COMMANDED) if part in self.trees}
        return {part: delay for part in sorted(map(str, measured)) if (delay := self._delay_of(WORK_STATE, part))}
