"""Take the identifiers out of points inside lines.

Why it is safe: nothing refers to them. One that a link names is left: an identity would be lost with it.
"""

from __future__ import annotations

from taskdata.checks.geometry.unwanted_point_id import check
from taskdata.repairs.geometry.identifiers import take_out
from taskdata.repairs.journal import Standing
from taskdata.repairs.repair_work import RepairWork

RULES = ("geometry.unwanted-point-id",)
STANDING = Standing.SAFE
ORDER = 24


def repair(work: RepairWork) -> None:
    """Take out each such identifier that nothing refers to."""
    take_out(work, RULES[0], check)
