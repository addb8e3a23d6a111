"""The times of tasks (TIM), read without raising."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from typing import NamedTuple

from taskdata.checks.coding._reading import integer
from taskdata.checks.stamp._stamps import Stamp, parse, seconds
from taskdata.isoxml.tree.element import Element

PLANNED, WITHDRAWN, EFFECTIVE = 1, 3, 4
"""Types of times (D.48)."""


class Worked(NamedTuple):
    """A time that was not planned: its start, and its end where the file tells it, else the start.

    Both are in UTC, or without zone as the file has them.
    """

    element: Element
    start: datetime
    end: datetime


def worked(task: Element) -> Iterator[Worked]:
    """Yield the times of a task that were not planned and whose start can be read."""
    for element in task.elements("TIM"):
        if integer(element, "Type") != PLANNED:
            start = _moment(parse(element.get("Start")))
            if start is not None:
                yield Worked(element, start, _end(element, start))


def _end(element: Element, start: datetime) -> datetime:
    stop = _moment(parse(element.get("Stop")))
    if stop is not None and (stop.tzinfo is None) == (start.tzinfo is None):
        return stop
    try:
        return start + timedelta(seconds=seconds(element) or 0)
    except OverflowError:
        return start


def _moment(stamp: Stamp | None) -> datetime | None:
    if stamp is None:
        return None
    if stamp.ahead is None:
        return stamp.clock
    try:
        return stamp.clock.replace(tzinfo=timezone(stamp.ahead)).astimezone(UTC)
    except (OverflowError, ValueError):
        return None


def task_of(element: Element) -> Element | None:
    """Return the task that an element stands in."""
    node = element.parent
    while node is not None and node.tag != "TSK":
        node = node.parent
    return node
