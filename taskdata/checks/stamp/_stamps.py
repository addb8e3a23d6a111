"""The time stamps of tasks and allocations, read without ever raising."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from taskdata.checks.subject import Subject
from taskdata.isoxml.element import Element

OWNERS = ("TIM", "ASP")
_STAMP = re.compile(
    r"(\d{4}-\d\d-\d\d)T(\d\d):(\d\d):(\d\d)(?:\.(\d{1,6})\d*)?(Z|[+-]\d\d:\d\d)?",
    re.ASCII,
)


@dataclass(frozen=True, slots=True)
class Stamp:
    """A time stamp: the reading of the clock, and how far it is ahead of UTC (None = no zone suffix)."""

    clock: datetime
    ahead: timedelta | None

    def since(self, other: Stamp) -> timedelta | None:
        """Return the time that passed since ``other``; None where only one of the two tells its zone."""
        if self.ahead is None or other.ahead is None:
            return self.clock - other.clock if self.ahead is other.ahead else None
        return (self.clock - other.clock) - (self.ahead - other.ahead)


@dataclass(frozen=True, slots=True)
class Stamped:
    """One stamp in the set: element, standard's name of the attribute, text as stored."""

    element: Element
    name: str
    text: str

    @property
    def has_zone(self) -> bool | None:
        """Whether the stamp tells its zone; None where it is no time stamp."""
        stamp = parse(self.text)
        return None if stamp is None else stamp.ahead is not None


def parse(text: str | None) -> Stamp | None:
    """Return what a text says as time stamp, None where it is none."""
    parts = _STAMP.fullmatch(text.strip()) if text else None
    if parts is None:
        return None
    day, hours, minutes, seconds, fraction, zone = parts.groups()
    try:
        clock = datetime.fromisoformat(day) + timedelta(
            hours=int(hours),
            minutes=int(minutes),
            seconds=int(seconds),
            microseconds=int((fraction or "").ljust(6, "0")),
        )
    except (ValueError, OverflowError):
        return None
    return Stamp(clock, _ahead(zone))


def owners(subject: Subject) -> Iterator[Element]:
    """Yield every element with time stamps in main and external files; headers of time logs are not among them."""
    for tag in OWNERS:
        yield from subject.tagged(tag)


def stamps(subject: Subject) -> Iterator[Stamped]:
    """Yield every filled time stamp of main and external files."""
    for element in owners(subject):
        for name in ("Start", "Stop"):
            text = element.get(name)
            if text is not None:
                yield Stamped(element, name, text)


def seconds(element: Element) -> int | None:
    """Return the duration that an element states, in seconds; None where it is absent or no number."""
    text = (element.get("Duration") or "").strip()
    return int(text) if text.isascii() and text.isdigit() and len(text) < 20 else None


def _ahead(zone: str | None) -> timedelta | None:
    if zone is None:
        return None
    if zone == "Z":
        return timedelta()
    size = timedelta(hours=int(zone[1:3]), minutes=int(zone[4:6]))
    return -size if zone[0] == "-" else size
