"""What differs in the records of two logs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from taskdata.findings import Fact
from taskdata.isoxml.tree.element import Element
from taskdata.model.logs import Logged, LogRecords
from taskdata.phrases import phrase
from taskdata.results.comparison import Difference, DifferenceKind
from taskdata.sets.side import Side

_POSITION = phrase("position")
_COLUMNS = {
    "time": phrase("time"),
    "lon": _POSITION,
    "lat": _POSITION,
    "up_m": phrase("height"),
    "status": phrase("kind of fix"),
}


def log_differences(one: Element, two: Element, first: Side, second: Side, thing: str) -> list[Difference]:
    """Say how many records came or went, and how many of the others differ; nothing where a log cannot be read."""
    logs = first.logs.get(first.document.keys[one]), second.logs.get(second.document.keys[two])
    records = [None if log is None else log.records for log in logs]
    if records[0] is None or records[1] is None or logs[0] is None or logs[1] is None:
        return []
    counts = len(records[0].time), len(records[1].time)
    a, b = one.nearest_id(), two.nearest_id()
    found = []
    if counts[0] != counts[1]:
        found.append(
            Difference(DifferenceKind.CHANGED, a, b, phrase("records of {thing}", thing=thing), *counts, thing=thing)
        )
    changed = _changed(records[0], records[1], min(counts))
    if changed.any():
        at = int(np.argmax(changed))
        count = int(changed.sum())
        when = (
            ""
            if np.isnat(records[0].time[at])
            else phrase(" at {time}", time=np.datetime_as_string(records[0].time[at], unit="s"))
        )
        words = (
            phrase("record {at}{when}", at=at + 1, when=when)
            if count == 1
            else phrase("{count} records, the first is record {at}{when}", count=count, at=at + 1, when=when)
        )
        quantities = max(logs[0].quantities, logs[1].quantities, key=len)
        name, before, after = _first_change(quantities, (records[0], records[1]), at)
        what = phrase("{name} in {words} of {thing}", name=name, words=words, thing=thing)
        found.append(Difference(DifferenceKind.CHANGED, a, b, what, before, after, thing=thing))
    return found


def _changed(one: LogRecords, two: LogRecords, count: int) -> NDArray[np.bool_]:
    """Return which of the records that both have differ, (count,)."""
    changed = np.zeros(count, dtype=bool)
    for name in _COLUMNS:
        changed |= _unlike(getattr(one, name), getattr(two, name), count)
    for name in {*one.extras, *two.extras}:
        changed |= _unlike(one.extras.get(name), two.extras.get(name), count)
    if len(one.time) == len(two.time) == count and np.array_equal(one.value_record, two.value_record):
        other = (one.value_index != two.value_index) | (one.value != two.value)
        changed[one.value_record[other]] = True
        return changed
    numbers = [np.bincount(item.value_record, minlength=count)[:count] for item in (one, two)]
    changed |= numbers[0] != numbers[1]
    left, right = _comparable(one, changed, count), _comparable(two, changed, count)
    other = (one.value_index[left] != two.value_index[right]) | (one.value[left] != two.value[right])
    changed[one.value_record[left][other]] = True
    return changed


def _comparable(records: LogRecords, changed: NDArray[np.bool_], count: int) -> NDArray[np.intp]:
    """Return the positions of the values in records that are not known to differ."""
    inside = np.flatnonzero(records.value_record < count)
    return np.asarray(inside[~changed[records.value_record[inside]]])


def _unlike(one: NDArray[Any] | None, two: NDArray[Any] | None, count: int) -> NDArray[np.bool_]:
    if one is None or two is None:
        return np.full(count, one is not two)
    left, right = one[:count], two[:count]
    same = left == right
    if left.dtype.kind in "fM":
        same |= (left != left) & (right != right)  # noqa: PLR0124  # not a number, not a time
    return np.asarray(~same)


def _first_change(quantities: Sequence[Logged], pair: tuple[LogRecords, LogRecords], at: int) -> tuple[str, Fact, Fact]:
    """Return what differs in a record, what it was and what it is."""
    one, two = pair
    for name, words in _COLUMNS.items():
        left, right = getattr(one, name), getattr(two, name)
        if _unlike(None if left is None else left[at:], None if right is None else right[at:], 1)[0]:
            if words is _POSITION:
                return words, _spot(one, at), _spot(two, at)
            return words, None if left is None else str(left[at]), None if right is None else str(right[at])
    for name in sorted({*one.extras, *two.extras}):
        texts = [str(item.extras[name][at]) if name in item.extras else None for item in pair]
        if texts[0] != texts[1]:
            return name, texts[0], texts[1]
    values = [_values(item, at) for item in pair]
    index = next((key for key in {**values[0], **values[1]} if values[0].get(key) != values[1].get(key)), None)
    if index is None:
        return phrase("order of values"), None, None
    quantity = quantities[index]
    what = phrase(quantity.name) if quantity.name else phrase("value")
    name = phrase("{what} (DDI {ddi})", what=what, ddi=quantity.ddi)
    if quantity.part:
        name = phrase("{what} of {part}", what=name, part=quantity.part)
    return name, values[0].get(index), values[1].get(index)


def _spot(records: LogRecords, at: int) -> str:
    return f"{records.lat[at]:.7f} {records.lon[at]:.7f}"


def _values(records: LogRecords, at: int) -> dict[int, int]:
    found = np.flatnonzero(records.value_record == at)
    pairs = zip(records.value_index[found].tolist(), records.value[found].tolist(), strict=True)
    return {int(index): int(value) for index, value in pairs}
