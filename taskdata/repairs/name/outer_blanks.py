"""Take blanks off the ends of names.

Why it is safe: nobody sees them. A name that would then be that of another thing is left.
"""

from __future__ import annotations

from taskdata.checks.name.outer_blanks import check
from taskdata.phrases import phrase
from taskdata.repairs.name.writing import write
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("name.outer-blanks",)
STANDING = Standing.SAFE
NEEDS = ("file.misread-letters", "file.not-utf-8", "schema.empty_attribute")


def repair(work: RepairWork) -> None:
    """Take the blanks off each name that has something else."""
    write(work, RULES[0], check, str.strip, phrase("blanks at the ends of a name carry no information"))
