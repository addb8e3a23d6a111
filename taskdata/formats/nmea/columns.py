"""Sentences as rows of numbers: what one says, NaN where it says nothing."""

from __future__ import annotations

from datetime import UTC, date, datetime

import numpy as np
from numpy.typing import NDArray

from taskdata.formats.nmea.sentences import Sentence

COLUMNS = (
    *("clock", "day", "rank", "lon", "lat", "up_m", "fix", "satellites", "hdop", "speed_m_s", "course_deg"),
    *("lat_spread_m", "lon_spread_m"),
)
"""``day`` counts from 1970 on, ``rank`` is that of the position among those of one moment, 0 without one."""
AT = {name: at for at, name in enumerate(COLUMNS)}

GGA_RANK = 10
"""From here on a position is that of a GGA sentence, which counts before that of another."""
_TALKERS = {"GN": 3, "GP": 2}
_FIRST_DAY = datetime(1970, 1, 1, tzinfo=UTC).date()

Rows = NDArray[np.float64]
"""(n, columns in the order of ``COLUMNS``)."""


def rank(talker: str, kind: str) -> int:
    """Return the rank of a position: that of all systems together (talker GN) counts before GPS alone."""
    return GGA_RANK * (kind == "GGA") + _TALKERS.get(talker, 1)


def day_number(day: date) -> int:
    """Return the days from 1970 to a date."""
    return (day - _FIRST_DAY).days


def row_of(sentence: Sentence) -> list[float]:
    """Return a sentence as a row."""
    placed = sentence.lat is not None and sentence.lon is not None
    spread = sentence.spread_m or (None, None)
    told = (
        *(sentence.clock, None if sentence.day is None else day_number(sentence.day)),
        *(rank(sentence.talker, sentence.kind) if placed else 0, sentence.lon, sentence.lat, sentence.up_m),
        *(sentence.fix, sentence.satellites, sentence.hdop, sentence.speed_m_s, sentence.course_deg, *spread),
    )
    return [np.nan if value is None else float(value) for value in told]
