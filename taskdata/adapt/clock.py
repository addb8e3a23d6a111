"""Time stamps with and without a zone, changed as texts so that no digit is lost."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from taskdata.errors import UsageError

LONGEST = 29
"""Characters of a time stamp at most (ISO 11783-10, D.1)."""

_STAMP = re.compile(r"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d)(\.\d+)?(Z|[+-]\d\d:\d\d)?", re.ASCII)
_OFFSET = re.compile(r"([+-])(\d\d):(\d\d)", re.ASCII)


def zone_of(text: str) -> tzinfo:
    """Return the time zone of a text such as ``+02:00``, ``Z`` or ``Europe/Berlin``.

    Raises
    ------
    UsageError
        There is no such zone.
    """
    if text == "Z":
        return UTC
    parts = _OFFSET.fullmatch(text)
    if parts is not None:
        ahead = timedelta(hours=int(parts[2]), minutes=int(parts[3]))
        if ahead <= timedelta(hours=14):
            return timezone(-ahead if parts[1] == "-" else ahead)
    try:
        return ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        remedy = "Give it as +02:00, or by a name such as Europe/Berlin"
        raise UsageError(f"there is no time zone {text!r}", remedy=remedy) from None


def suffix(text: str) -> str | None:
    """Return the zone that a time stamp states, blank where it states none, None for what is no time stamp."""
    parts = _STAMP.fullmatch(text.strip())
    return None if parts is None else parts[3] or ""


def without_zone(text: str, zone: tzinfo | None) -> str:
    """Return a time stamp as local time (R-252).

    With an offset the reading of the clock stays. With ``Z`` it is converted to ``zone``; where that is None, or the
    result is no time that can be written, the digits stay.
    """
    parts = _STAMP.fullmatch(text.strip())
    if parts is None or not parts[3]:
        return text
    clock = parts[1]
    if parts[3] == "Z" and zone is not None:
        moment = _moment(clock)
        try:
            clock = clock if moment is None else moment.replace(tzinfo=UTC).astimezone(zone).isoformat()[: len(clock)]
        except OverflowError:
            return clock + (parts[2] or "")
    return clock + (parts[2] or "")


def with_zone(text: str, zone: tzinfo) -> str:
    """Return a local time stamp with the offset that the zone has at that time (R-264).

    A fraction too long for both is cut. What has a zone already, or is no time, stays as it is.
    """
    parts = _STAMP.fullmatch(text.strip())
    moment = None if parts is None or parts[3] else _moment(parts[1])
    if parts is None or moment is None:
        return text
    ahead = zone.utcoffset(moment) or timedelta()
    minutes = round(ahead.total_seconds() / 60)
    told = f"{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02}:{abs(minutes) % 60:02}"
    fraction = (parts[2] or "")[: LONGEST - len(parts[1]) - len(told)]
    return parts[1] + fraction + told


def is_ambiguous_time(text: str, zone: tzinfo) -> bool:
    """Tell whether a time stamp of local time, with or without a zone, lies where the clock of a zone changes.

    The clock shows such a time twice, or never.
    """
    parts = _STAMP.fullmatch(text.strip())
    moment = None if parts is None else _moment(parts[1])
    if moment is None:
        return False
    return zone.utcoffset(moment.replace(fold=0)) != zone.utcoffset(moment.replace(fold=1))


def readable(text: str) -> bool:
    """Tell whether a time stamp is a time of the calendar, and not such as 30 February."""
    parts = _STAMP.fullmatch(text.strip())
    return parts is not None and _moment(parts[1]) is not None


def _moment(clock: str) -> datetime | None:
    """Return a reading of the clock; 24:00:00 is the midnight that ends a day (XML Schema 1.0, 3.2.7)."""
    day, _, time = clock.partition("T")
    try:
        if time == "24:00:00":
            return datetime.fromisoformat(day) + timedelta(days=1)
        return datetime.fromisoformat(clock)
    except (ValueError, OverflowError):
        return None
