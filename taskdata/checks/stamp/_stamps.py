"""The time stamps of tasks and allocations, read without ever raising, and once for all rules."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import lru_cache
from typing import NamedTuple

from taskdata.checks._once import once
from taskdata.checks.subject import Subject
from taskdata.isoxml.facts import letter
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.notation import meant

OWNERS = ("TIM", "ASP")
CLOCK_LENGTH = len("2024-04-18T07:00:00")
_STAMP = re.compile(r"\d{4}-\d\d-\d\dT(\d\d):\d\d:\d\d(?:\.(\d{1,6})\d*)?(Z|[+-]\d\d:\d\d)?", re.ASCII)
_END_OF_DAY = "T24:00:00"


class Stamp(NamedTuple):
    """A time stamp: the reading of the clock, and how far it is ahead of UTC (None = no zone suffix)."""

    clock: datetime
    ahead: timedelta | None

    def since(self, other: Stamp) -> timedelta | None:
        """Return the time that passed since ``other``; None where only one of the two tells its zone."""
        if self.ahead is None or other.ahead is None:
            return self.clock - other.clock if self.ahead is other.ahead else None
        return (self.clock - other.clock) - (self.ahead - other.ahead)


class Stamped(NamedTuple):
    """One stamp in the set: element, standard's name of the attribute, text as stored, whether it tells its zone."""

    element: Element
    name: str
    text: str
    has_zone: bool


class Span(NamedTuple):
    """An element with start and stop, and the time that passes between them."""

    element: Element
    passed: timedelta


def parse(text: str | None) -> Stamp | None:
    """Return what a text says as time stamp, None where it is none."""
    text = text.strip() if text else ""
    if _STAMP.fullmatch(text) is None and (other := meant("TIM", letter("TIM", "Start"), text)) is not None:
        text = other.text
    parts = _STAMP.fullmatch(text)
    if parts is None:
        return None
    hours, fraction, zone = parts.groups()
    clock = text[:CLOCK_LENGTH]
    days = hours == "24" and clock.endswith(_END_OF_DAY)
    try:
        moment = datetime.fromisoformat(clock.replace(_END_OF_DAY, "T00:00:00") if days else clock)
        if days or fraction:
            moment += timedelta(days=days, microseconds=int((fraction or "").ljust(6, "0")))
    except (ValueError, OverflowError):
        return None
    return Stamp(moment, None if zone is None else _ahead(zone))


def owners(subject: Subject) -> Iterator[Element]:
    """Yield every element with time stamps in main and external files; headers of time logs are not among them."""
    for tag in OWNERS:
        yield from subject.tagged(tag)


def stamps(subject: Subject) -> Iterator[Stamped]:
    """Yield every time stamp of main and external files that has the form of one."""
    for element in owners(subject):
        for name in ("Start", "Stop"):
            text = element.get(name)
            parts = _STAMP.fullmatch(text.strip()) if text else None
            if text and parts:
                yield Stamped(element, name, text, parts[3] is not None)


@once
def spans(subject: Subject) -> tuple[Span, ...]:
    """Return the time from start to stop wherever both are given and comparable; found once for each subject."""
    return tuple(_all_spans(subject))


def _all_spans(subject: Subject) -> Iterator[Span]:
    for element in owners(subject):
        stop = parse(element.get("Stop"))
        start = parse(element.get("Start")) if stop is not None else None
        passed = stop.since(start) if stop is not None and start is not None else None
        if passed is not None:
            yield Span(element, passed)


def seconds(element: Element) -> int | None:
    """Return the duration that an element states, in seconds; None where it is absent or no number."""
    text = (element.get("Duration") or "").strip()
    return int(text) if text.isascii() and text.isdigit() and len(text) < 20 else None


@lru_cache(maxsize=256)
def _ahead(zone: str) -> timedelta:
    if zone == "Z":
        return timedelta()
    size = timedelta(hours=int(zone[1:3]), minutes=int(zone[4:6]))
    return -size if zone[0] == "-" else size
