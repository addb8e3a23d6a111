"""Sentences of one moment put together: where the antenna was at each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import fields
from datetime import UTC, date, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.formats.nmea.sentences import Sentence

BACK_S = 43_200.0
"""A time of day that goes back by more than this is that of the next day."""

_PIECE = 50_000
_RANK = {"GN": 3, "GP": 2}
_DATED = datetime(1970, 1, 1, tzinfo=UTC).date()


@dataclass(slots=True)
class Epoch:
    """One moment: the columns of a log, NaN where not known."""

    clock: float
    day: float = np.nan
    lon: float = np.nan
    lat: float = np.nan
    up_m: float = np.nan
    fix: float = np.nan
    satellites: float = np.nan
    hdop: float = np.nan
    speed_m_s: float = np.nan
    course_deg: float = np.nan
    lat_spread_m: float = np.nan
    lon_spread_m: float = np.nan


NAMES = tuple(item.name for item in fields(Epoch))


@dataclass
class Dates:
    """What is known of the date while epochs pass: days since 1970, and whether a sentence said one."""

    day: int | None = None
    clock: float | None = None
    undated: int = 0

    def at(self, clock: float, said: date | None) -> float:
        """Return the day of a time of day, NaN before any sentence has said a date."""
        if said is not None:
            self.day = (said - _DATED) // timedelta(days=1)
        elif self.day is not None and self.clock is not None and self.clock - clock > BACK_S:
            self.day += 1
        self.clock = clock
        return np.nan if self.day is None else float(self.day)


def epochs(found: Iterable[Sentence]) -> Iterator[NDArray[np.float64]]:
    """Yield the epochs with a position, (n, columns in the order of ``NAMES``), some thousands at a time.

    Sentences with one time of day are of one epoch; VTG, which has none, is of the epoch before it. Where several
    receivers or systems of satellites speak, the position of all systems together (talker GN) counts before GPS alone.
    The date comes from RMC and ZDA and goes on over midnight; what comes before the first date gets it from that.
    """
    dates, rows, waiting = Dates(), [], []
    for epoch in _grouped(found, dates):
        if np.isnan(epoch.lat):
            continue
        row = [getattr(epoch, name) for name in NAMES]
        if np.isnan(epoch.day):
            waiting.append(row)
            continue
        if waiting:
            rows += _dated(waiting, row)
            waiting = []
        rows.append(row)
        if len(rows) >= _PIECE:
            yield np.array(rows)
            rows = []
    rows += waiting
    if rows:
        yield np.array(rows)


def _grouped(found: Iterable[Sentence], dates: Dates) -> Iterator[Epoch]:
    epoch: Epoch | None = None
    said: date | None = None
    ranks: dict[str, int] = {}
    for sentence in found:
        if sentence.clock is not None and (epoch is None or sentence.clock != epoch.clock):
            if epoch is not None:
                epoch.day = dates.at(epoch.clock, said)
                yield epoch
            epoch, said, ranks = Epoch(sentence.clock), None, {}
        if epoch is None:
            continue
        said = sentence.day or said
        _take(epoch, sentence, ranks)
    if epoch is not None:
        epoch.day = dates.at(epoch.clock, said)
        yield epoch


def _take(epoch: Epoch, sentence: Sentence, ranks: dict[str, int]) -> None:
    """Lay what a sentence says over what is known of its epoch; of a position GGA counts before RMC."""
    if sentence.lat is not None and sentence.lon is not None:
        rank = 10 * (sentence.kind == "GGA") + _RANK.get(sentence.talker, 1)
        if rank > ranks.get("place", 0):
            ranks["place"] = rank
            epoch.lat, epoch.lon = sentence.lat, sentence.lon
            for name in ("up_m", "fix", "satellites", "hdop"):
                value = getattr(sentence, name)
                if value is not None or sentence.kind == "GGA":
                    setattr(epoch, name, np.nan if value is None else float(value))
    for name in ("speed_m_s", "course_deg"):
        value = getattr(sentence, name)
        if value is not None and np.isnan(getattr(epoch, name)):
            setattr(epoch, name, value)
    if sentence.spread_m is not None:
        epoch.lat_spread_m, epoch.lon_spread_m = sentence.spread_m


def _dated(waiting: list[list[float]], first: list[float]) -> list[list[float]]:
    """Give epochs that came before the first date a day: that of the first dated one, counted back over midnights."""
    at = NAMES.index("day")
    day, clock = first[at], first[0]
    for row in reversed(waiting):
        if row[0] - clock > BACK_S:
            day -= 1
        row[at], clock = day, row[0]
    return waiting
