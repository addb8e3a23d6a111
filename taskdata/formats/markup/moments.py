"""Times as XML writes them (XML Schema part 2, section 3.2.7)."""

from __future__ import annotations

import re
from datetime import UTC, datetime

_TIME = re.compile(r"(\d{4})(-\d\d)?(-\d\d)?(T\d\d:\d\d(?::\d\d(?:\.\d{1,9})?)?)?(Z|[+-]\d\d:\d\d)?")


def moment(text: str | None) -> datetime | None:
    """Return a time in coordinated universal time, without a zone; None where a text is none.

    A year, a month or a day alone is its first moment. A time without a zone is taken as it stands.
    """
    found = _TIME.fullmatch((text or "").strip())
    if found is None:
        return None
    year, month, day, clock, zone = found.groups()
    if clock is not None and day is None:
        return None
    written = f"{year}{month or '-01'}{day or '-01'}{clock or 'T00:00'}"
    try:
        if clock is None or zone is None:
            return datetime.fromisoformat(written)
        return datetime.fromisoformat(written + zone).astimezone(UTC).replace(tzinfo=None)
    except (ValueError, OverflowError):
        return None
