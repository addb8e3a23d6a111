"""Mark positions of a log that are no places as not available, which is what the standard has for them.

Why it needs a look: where most positions are wrong, header and binary file may not belong together; such a log is left.
"""

from __future__ import annotations

from typing import cast

import numpy as np
from numpy.typing import NDArray

from taskdata.checks.geometry.at_zero import is_zero
from taskdata.checks.registry import Check
from taskdata.checks.timelog import position_at_zero, position_out_of_range
from taskdata.geometry.metres import on_earth
from taskdata.isoxml.timelog.log import NO_POSITION, TimeLog
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.repairs.timelog.stored import found_logs
from taskdata.results.cleaning import Standing

RULES = ("timelog.position-at-zero", "timelog.position-out-of-range")
STANDING = Standing.REVIEW
NEEDS = ("timelog.cut-record",)

FIELDS = ("PositionNorth", "PositionEast")


def repair(work: RepairWork) -> None:
    """Mark each position at 0/0 or not on Earth, in logs in which most positions are right."""
    for rule, check in zip(RULES, (position_at_zero.check, position_out_of_range.check), strict=True):
        for stored, _ in found_logs(work, cast(Check, check)):
            wrong = _at_zero(stored.log) if rule == RULES[0] else _elsewhere(stored.log)
            count = int(wrong.sum())
            if not stored.stores(*FIELDS) or 2 * count > len(stored.log):
                continue
            rows = stored.log.rows.copy()
            for name in FIELDS:
                rows[name][wrong] = NO_POSITION
            stored.put(work, rows)
            reason = phrase("positions of {name} that are not valid are marked as not available", name=stored.blob.name)
            work.note(rule, stored.element, count, 0, reason)


def _places(log: TimeLog) -> NDArray[np.float64]:
    return np.column_stack([log.longitude(), log.latitude()])


def _at_zero(log: TimeLog) -> NDArray[np.bool_]:
    return np.asarray(is_zero(_places(log)))


def _elsewhere(log: TimeLog) -> NDArray[np.bool_]:
    places = _places(log)
    return np.isfinite(places).all(axis=1) & ~on_earth(places)
