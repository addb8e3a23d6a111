"""Raise the date of a log that stays behind after midnight.

Why it needs a look: that the clock was right and the date was not is a conclusion from times that go on where the day
ends. Work of the night moves to the next day.
"""

from __future__ import annotations

import numpy as np

from taskdata.checks.timelog._midnights import missing_days
from taskdata.checks.timelog.date_not_raised import check
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.repairs.timelog.stored import found_logs
from taskdata.results.cleaning import Standing

RULES = ("timelog.date-not-raised",)
STANDING = Standing.REVIEW
NEEDS = ("timelog.week-rollover",)

DATE = "TimeStartDate"


def repair(work: RepairWork) -> None:
    """Raise the local date of each record after a midnight that it does not follow."""
    for stored, finding in found_logs(work, check):
        if not stored.stores(DATE):
            continue
        time = stored.log.time()
        lacking = missing_days(time)
        lacking[np.isnat(time)] = 0
        rows = stored.log.rows.copy()
        rows[DATE] += lacking.astype(rows.dtype[DATE])
        stored.put(work, rows)
        after = str((time + lacking * np.timedelta64(1, "D"))[lacking > 0][0].astype("datetime64[D]"))
        reason = phrase(
            "the times of {name} pass midnight at record {record}",
            name=stored.blob.name,
            record=finding.facts["record"],
        )
        work.note(RULES[0], stored.element, finding.facts["at"], after, reason)
