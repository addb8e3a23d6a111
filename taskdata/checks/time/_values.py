"""The values in the times of tasks, read without raising."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.isoxml.tree.element import Element
from taskdata.quantities.dictionary import ddi_number


class Stated(NamedTuple):
    """A value (DLV) of a time: the task, the element, the quantity, the raw value."""

    task: Element
    element: Element
    ddi: int
    raw: int


def values(subject: Subject) -> Iterator[Stated]:
    """Yield every value of every time of a task that can be read."""
    for task in subject.tagged("TSK"):
        for time in task.elements("TIM"):
            yield from in_time(task, time)


def in_time(task: Element, time: Element) -> Iterator[Stated]:
    """Yield the values of one time."""
    for value in time.elements("DLV"):
        ddi, raw = ddi_number((value.get("ProcessDataDDI") or "").strip()), integer(value, "ProcessDataValue")
        if ddi is not None and raw is not None:
            yield Stated(task, value, ddi, raw)
