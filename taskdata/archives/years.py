"""The year that a row of a catalogue belongs to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np

from taskdata.adapt.choosing.beginnings import beginning
from taskdata.isoxml.tree.document import Document
from taskdata.model.logs import Log
from taskdata.model.tasks import Task
from taskdata.sets.joining.sources import stamps

UNKNOWN = "unknown"
_FIRST = 1981
"""Clocks that were never set show 1980, from which logs count their days (ISO 11783-10, 8.6.3)."""


def year_of_task(task: Task) -> int | None:
    """Return the year of the first time of a task: of its stated times, without such of its logs."""
    day = beginning(replace(task, logs=()))
    known = [] if day is None else [day.year]
    return _sound(known) or _sound(year for log in task.logs if (year := year_of_log(log)) is not None)


def year_of_log(log: Log) -> int | None:
    """Return the year of the first record of a log."""
    start = None if log.extent is None else log.extent.start
    return None if start is None else _sound([int(start.astype("datetime64[Y]").astype(np.int64)) + 1970])


def year_of_set(tasks: Iterable[Task], document: Document) -> int | None:
    """Return the year that a set shows the state of: that of its latest task, without such of its latest time stamp.

    A task counts by its first time. Dates of files do not count: they change with every copy.
    """
    latest = [year for task in tasks if (year := year_of_task(task)) is not None]
    if latest:
        return max(latest)
    found = [stamp for file in document.task_files for stamp in stamps(file.root)]
    years = [datetime.fromtimestamp(stamp, UTC).year for stamp in found if stamp > 0]
    return max((year for year in years if year >= _FIRST), default=None)


def _sound(years: Iterable[int]) -> int | None:
    return min((year for year in years if year >= _FIRST), default=None)
