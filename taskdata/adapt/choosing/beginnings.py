"""The day on which a task begins."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import cast

import numpy as np
from numpy.typing import NDArray

from taskdata.model.tasks import Task

_DAY = re.compile(r"\s*(\d{4}-\d\d-\d\d)")


def beginning(task: Task) -> date | None:
    """Return the day of the first time of a task, as it is written there; None where it has none.

    The first start among its times counts, planned or done; only where there is none, the first record of its logs, or
    the start of its first swath.
    """
    stated = [day for item in task.times if (day := _day(item.start)) is not None]
    if stated:
        return min(stated)
    logged = [day for log in task.logs if log.records is not None and (day := _first(log.records.time)) is not None]
    swaths = np.array([item.start for item in task.swaths if item.start is not None], "datetime64[ms]")
    return min(logged, default=_first(swaths))


def _day(stamp: str | None) -> date | None:
    found = _DAY.match(stamp or "")
    try:
        return None if found is None else date.fromisoformat(found[1])
    except ValueError:
        return None


def _first(times: NDArray[np.datetime64]) -> date | None:
    known = times[~np.isnat(times)]
    return cast(datetime, known.min().item()).date() if len(known) else None
