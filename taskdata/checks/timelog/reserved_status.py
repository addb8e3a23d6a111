"""A time log holds a position status that the standard does not define.

What it checks
    That the status of a position is 0 to 8, 14 or 15, or marked not available. The numbers 9 to 13 are reserved, higher
    ones do not exist. All records of a log with this fault are reported together. Partly judged.
Why it matters
    Whether the position is good to a hand's width or to a few metres is not clear. Many such records mean that header
    and binary file do not belong together.
Example
    Bad: status 11.
    Good: status 4, a fixed integer solution.
How to fix
    Copy both files of the log again. If the fault remains, ask the manufacturer of the GNSS receiver what the number
    means.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._records import extent, logs
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.isoxml.facts import binary_fields, elements, letter

RULE = Rule(
    id="timelog.reserved-status",
    severity=Severity.WARNING,
    message="{file} has a position status that is not defined in {where}; the first is {value}.",
    remedy=(
        "Copy both files of the log again; if the fault remains, ask the manufacturer of the GNSS receiver what the "
        "number means."
    ),
    clause="8.6.3",
    covers=("R-202",),
)
RESERVED, STATUS = "Reserved", "PositionStatus"


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log, at the first such record, or at the header whose constant holds for all."""
    field = next(item for item in binary_fields("TLG") if item.name == STATUS)
    codes = elements()["PTN"].attributes[letter("PTN", STATUS)].values
    defined = np.zeros(np.iinfo(np.dtype(field.dtype)).max + 1, dtype=bool)
    defined[field.missing] = True
    for code in codes:
        defined[code.low : code.high + 1] = code.name != RESERVED
    for log in logs(subject):
        constant = log.records.layout.constants.get(STATUS)
        if log.stores(STATUS):
            column = log.records.column(STATUS)
            wrong = np.flatnonzero(~defined[column])
            if len(wrong):
                first = int(wrong[0])
                where = extent(len(wrong), first, int(wrong[-1]))
                yield RULE.at(log.place(first), file=log.file, where=where, value=int(column[first]))
        elif any(code.name == RESERVED and code.low <= constant <= code.high for code in codes if constant is not None):
            place = Place(file=log.header.name, line=log.header.root.line or None, element=log.task)
            yield RULE.at(place, file=log.file, where="every record", value=int(constant or 0))
