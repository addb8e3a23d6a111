"""Add 1024 weeks to the dates of a log that is that much too early.

Why it needs a look: that the receiver lost a round of the week count is a conclusion from other dates.
"""

from __future__ import annotations

import numpy as np

from taskdata.checks.timelog._clocks import DAY, GPS_WEEKS
from taskdata.checks.timelog.week_rollover import check
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.repairs.timelog.stored import found_logs
from taskdata.results.cleaning import Standing

RULES = ("timelog.week-rollover",)
STANDING = Standing.REVIEW
NEEDS = ("timelog.cut-record",)

LOCAL, RECEIVER = "TimeStartDate", "GpsUtcDate"
UNKNOWN = 0xFFFF
ROUND_DAYS = int(GPS_WEEKS / DAY)


def repair(work: RepairWork) -> None:
    """Move local dates, and dates of the receiver that lie in the same lost round."""
    for stored, finding in found_logs(work, check):
        if not stored.stores(LOCAL):
            continue
        rows = stored.log.rows.copy()
        dates = rows[LOCAL].astype(np.int64)
        first = dates[dates != UNKNOWN][0]
        for name in (LOCAL, RECEIVER) if stored.stores(RECEIVER) else (LOCAL,):
            days = rows[name].astype(np.int64)
            lost = (days != UNKNOWN) & (np.abs(days - first) < ROUND_DAYS // 2)
            rows[name][lost] += ROUND_DAYS
        stored.put(work, rows)
        reason = phrase(
            "1024 weeks ({round_days} days) were added to the dates of {name}",
            round_days=ROUND_DAYS,
            name=stored.blob.name,
        )
        work.note(RULES[0], stored.element, finding.facts["at"], finding.facts["other"], reason)
