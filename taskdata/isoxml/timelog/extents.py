"""When and where the records of a time log were made, found in the integers that are stored where these are sound."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from taskdata.isoxml.timelog.log import DAY_MS, TimeLog
from taskdata.model.log_extent import LogExtent
from taskdata.model.logs import DAY_ZERO

_CLOCK, _DAY = "TimeStartTimeOfDay", "TimeStartDate"
_EAST, _NORTH = "PositionEast", "PositionNorth"
_TURN = 1_800_000_000
"""Half a turn as it is stored, in 1e-7 degrees."""


def extent_of(log: TimeLog) -> LogExtent:
    """Return when and where the records of a log were made."""
    if not len(log):
        return LogExtent()
    return _of_integers(log) or LogExtent.of(log.time(), log.longitude(), log.latitude())


def _of_integers(log: TimeLog) -> LogExtent | None:
    """Return the extent by the least and greatest integers, None where one of them is no time or no place."""
    if log.layout.start is not None or {_CLOCK, _DAY, _EAST, _NORTH} - {field.name for field in log.layout.fields}:
        return None
    clock, day, east, north = (np.ascontiguousarray(log.column(name)) for name in (_CLOCK, _DAY, _EAST, _NORTH))
    lon, lat = _ends(east), _ends(north)
    if not (_sound(lon, _TURN, log, _EAST) and _sound(lat, _TURN // 2, log, _NORTH)) or lon[1] - lon[0] >= _TURN:
        return None
    if (lon[0] <= 0 <= lon[1]) and (lat[0] <= 0 <= lat[1]):
        return None
    if _ends(clock)[1] == log.layout.field(_CLOCK).missing or _ends(day)[1] == log.layout.field(_DAY).missing:
        return None
    start, end = _ends(day.astype(np.int64) * DAY_MS + clock)
    stored = [[east[0], north[0]], [lon[0], lat[0]], [lon[1], lat[1]]]
    frame = np.array(stored, dtype=np.float64) / float(1 / Decimal(log.layout.field(_EAST).scale))
    return LogExtent(DAY_ZERO + np.timedelta64(start, "ms"), DAY_ZERO + np.timedelta64(end, "ms"), frame)


def _sound(ends: tuple[int, int], most: int, log: TimeLog, name: str) -> bool:
    """Tell whether all integers between two are places."""
    missing = log.layout.field(name).missing
    return -most <= ends[0] and ends[1] <= most and not (missing is not None and ends[0] <= missing <= ends[1])


def _ends(column: NDArray[np.integer]) -> tuple[int, int]:
    return int(column.min()), int(column.max())
