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
from functools import cache

import numpy as np
from numpy.typing import NDArray

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._pieces import StoredPiece
from taskdata.checks.timelog._watching import StoredWatch, Tally, found, watches
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


@watches
class _Statuses(StoredWatch):
    """Statuses that are stored and not defined."""

    def begin(self) -> None:
        self.wanted = self.stored.stores(STATUS)
        self.wrong = Tally()

    def see(self, piece: StoredPiece) -> None:
        column = piece.records.column(STATUS)
        self.wrong.add(piece, np.flatnonzero(~_defined()[column]), lambda at: int(column[at]))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log, at the first such record, or at the header whose constant holds for all."""
    codes = elements()["PTN"].attributes[letter("PTN", STATUS)].values
    for log in found(subject, _Statuses):
        stored = log.stored
        constant = stored.layout.constants.get(STATUS)
        if log.wanted:
            if log.wrong.count:
                yield RULE.at(log.wrong.place, file=stored.file, where=log.wrong.where, value=log.wrong.value)
        elif any(code.name == RESERVED and code.low <= constant <= code.high for code in codes if constant is not None):
            place = Place(file=stored.header.name, line=stored.header.root.line or None, element=stored.element)
            yield RULE.at(place, file=stored.file, where="every record", value=int(constant or 0))


@cache
def _defined() -> NDArray[np.bool_]:
    """Tell of each number that a record can hold whether it is a status, (256,)."""
    field = next(item for item in binary_fields("TLG") if item.name == STATUS)
    defined = np.zeros(np.iinfo(np.dtype(field.dtype)).max + 1, dtype=np.bool_)
    defined[field.missing] = True
    for code in elements()["PTN"].attributes[letter("PTN", STATUS)].values:
        defined[code.low : code.high + 1] = code.name != RESERVED
    return defined
