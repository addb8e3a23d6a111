"""Bytes of one value that fill the end of a log: a store or a terminal reserved more room than the records took.

Nothing but zeros would read as records of 1 January 1980, 00:00, without values; nothing but FF as records of no date
with 255 values. Neither is a record where nothing else follows up to the end of the file.
"""

from __future__ import annotations

import numpy as np

from taskdata.isoxml.binary.flat_bytes import Octets
from taskdata.isoxml.timelog.layout import Layout
from taskdata.isoxml.timelog.walk import PAIR, Mixed, Run, Stretch

DATE = "TimeStartDate"
FILLS = (0x00, 0xFF)
_BLOCK = 1 << 16


def without_padding(octets: Octets, found: list[Stretch], end: int, layout: Layout) -> tuple[list[Stretch], int]:
    """Return the stretches before the padding, and the offset after them; as they were where there is none.

    Only records that store their date are told from padding, as others may be zero throughout.
    """
    first = _first_of_fill(octets, layout.dtype.itemsize) if stores_date(layout) else octets.size
    if first >= end:
        return found, end
    kept: list[Stretch] = []
    head = layout.dtype.itemsize
    for stretch in found:
        if isinstance(stretch, Run):
            step = head + PAIR * stretch.values
            records = min(stretch.records, max(0, -((stretch.start - first) // step)))
            kept += [Run(stretch.start, records, stretch.values)] if records else []
            end = end if records == stretch.records else min(end, stretch.start + records * step)
            continue
        before = stretch.offsets < first
        kept += [Mixed(stretch.offsets[before])] if before.any() else []
        end = end if before.all() else min(end, int(stretch.offsets[~before][0]))
    return kept, end


def _first_of_fill(octets: Octets, head: int) -> int:
    """Return where the bytes of one fill begin that end the file; its size where they are less than a record."""
    size = octets.size
    if size < head or octets[-1] not in FILLS or (octets[-head:] != octets[-1]).any():
        return size
    at = size
    while at > 0:
        block = octets[max(0, at - _BLOCK) : at]
        other = np.flatnonzero(block != octets[-1])
        if other.size:
            return at - block.size + int(other[-1]) + 1
        at -= block.size
    return 0


def stores_date(layout: Layout) -> bool:
    """Tell whether each record holds its date, so that records are told from padding."""
    return any(field.name == DATE for field in layout.fields)
