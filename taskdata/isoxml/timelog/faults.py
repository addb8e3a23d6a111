"""What may be wrong with the binary file of a time log."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.findings import Finding, Place
from taskdata.isoxml.timelog.log import TimeLog
from taskdata.isoxml.timelog.walk import PAIR
from taskdata.raised_rules.timelog.cut_record import RULE as CUT_RECORD
from taskdata.raised_rules.timelog.no_count_octet import RULE as NO_COUNT_OCTET
from taskdata.raised_rules.timelog.trailing_bytes import RULE as TRAILING_OCTETS
from taskdata.raised_rules.timelog.value_index_out_of_range import RULE as VALUE_INDEX_OUT_OF_RANGE


@dataclass(frozen=True, slots=True)
class Unlisted:
    """Values that the header does not list: record, offset and index of the first, and how many there are."""

    record: int
    offset: int
    index: int
    count: int

    def joined(self, later: Unlisted) -> Unlisted:
        """Return these values and others that follow."""
        return replace(self, count=self.count + later.count)


def unlisted(log: TimeLog, records: int = 0, at: int = 0) -> Unlisted | None:
    """Return the values of a log that its header does not list, None where there are none.

    Parameters
    ----------
    log : TimeLog
        Records that follow one another.
    records, at : int
        How many records, and bytes, of the file stand before them.
    """
    listed = len(log.layout.values)
    if log.index.size == 0 or int(log.index.max()) < listed:
        return None
    wrong = log.index >= listed
    first = int(wrong.argmax())
    record = int(np.searchsorted(np.cumsum(log.counts, dtype=np.int64), first, side="right"))
    offset = (record + 1) * log.layout.dtype.itemsize + PAIR * first
    return Unlisted(records + record, at + offset, int(log.index[first]), int(np.count_nonzero(wrong)))


def unlisted_fault(found: Unlisted | None, listed: int, file: str | None) -> Iterator[Finding]:
    """Yield that there are values which the header does not list."""
    if found is not None:
        place = Place(file=file, record=found.record, offset=found.offset)
        yield VALUE_INDEX_OUT_OF_RANGE.at(place, index=found.index, count=found.count, listed=listed)


def trailing_fault(octets: int, records: int, end: int, file: str | None, *, alike: bool) -> Iterator[Finding]:
    """Yield that bytes follow the last whole record; ``alike`` tells that all of them are 00, or FF."""
    if octets:
        rule = TRAILING_OCTETS if alike else CUT_RECORD
        place = Place(file=file, record=records, offset=end)
        yield rule.at(place, record=records, records=records, octets=octets)


def no_count_fault(file: str | None, records: int, length: int) -> Finding:
    """Return that records lack the byte that counts their values."""
    return NO_COUNT_OCTET.at(Place(file=file), records=records, length=length)
