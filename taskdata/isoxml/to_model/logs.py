"""Time logs (TLG): described from their header at once, their records decoded on demand."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from taskdata.isoxml.timelog.files import layout_of, outcome_of, read_in_parts, read_log
from taskdata.isoxml.timelog.layout import Layout
from taskdata.isoxml.timelog.log import TimeLog
from taskdata.isoxml.to_model.machines import quantity_name
from taskdata.isoxml.to_model.reading import Reading, needed_text
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.notation import base_name
from taskdata.model.log_extent import LogExtent
from taskdata.model.logs import Log, Logged, LogRecords

STATUS = "PositionStatus"
UP = "PositionUp"
EXTRAS = ("PDOP", "HDOP", "NumberOfSatellites", "GpsUtcTime", "GpsUtcDate")
NO_STATUS = 255
UNKNOWN_DDI = 0
"""DDI 0 is defined to mean nothing; it stands where a header does not name a quantity readably."""


def log(reading: Reading, element: Element) -> Log:
    """Read a time log (TLG).

    Raises
    ------
    Unreadable
        It names no file.
    """
    file = base_name(needed_text(element, "Filename"))
    layout = layout_of(reading.document, file)
    return Log(
        file=file,
        quantities=() if layout is None else _quantities(layout, reading),
        read=_reader(reading.document, file, layout),
        count=_counter(reading.document, file, layout),
        look=_looker(reading.document, file, layout),
        read_parts=lambda: map(records_of, read_in_parts(reading.document, file, layout)),
        key=reading.key(element),
        place=reading.place(element),
    )


def _quantities(layout: Layout, reading: Reading) -> tuple[Logged, ...]:
    found = []
    for value in layout.values:
        ddi = UNKNOWN_DDI if value.ddi is None else value.ddi
        name = None if value.ddi is None else quantity_name(value.ddi)
        part = reading.parts.get(value.element or "")
        known = (None, None) if part is None else (part.name, part.presentation(ddi))
        found.append(Logged(ddi, value.element or None, name, *known))
    return tuple(found)


def _reader(document: Document, file: str, layout: Layout | None) -> Callable[[], LogRecords | None]:
    """Return a function that decodes the records, None where they cannot be read."""

    def read() -> LogRecords | None:
        found = read_log(document, file, layout)
        return None if found is None else records_of(found)

    return read


def _counter(document: Document, file: str, layout: Layout | None) -> Callable[[], int | None]:
    """Return a function that tells the number of records without keeping them, None where they cannot be read."""

    def count() -> int | None:
        found = outcome_of(document, file, layout)
        return None if found is None else found.records

    return count


def _looker(document: Document, file: str, layout: Layout | None) -> Callable[[], LogExtent | None]:
    """Return a function that tells when and where the records were made, None where they cannot be read."""

    def look() -> LogExtent | None:
        found = outcome_of(document, file, layout, extent=True)
        return None if found is None else found.extent

    return look


def records_of(found: TimeLog) -> LogRecords:
    """Return a decoded log as model columns.

    Values whose index the header does not list mean nothing and are left out. A value that the header fixes for all
    records stands in each of them.
    """
    stored = {field.name for field in found.layout.fields}
    record, index, value = _values(found)
    return LogRecords(
        time=found.time(),
        lon=found.longitude(),
        lat=found.latitude(),
        up_m=found.up_m() if UP in stored or UP in found.layout.constants else None,
        status=_status(found, stored),
        value_record=record,
        value_index=index,
        value=value,
        extras={name: found.column(name) for name in EXTRAS if name in stored},
    )


def _status(found: TimeLog, stored: set[str]) -> NDArray[np.uint8] | None:
    if STATUS in stored:
        return found.column(STATUS)
    constant = found.layout.constants.get(STATUS)
    if constant is None or not 0 <= constant <= NO_STATUS:
        return None
    return np.full(len(found), int(constant), dtype=np.uint8)


def _values(found: TimeLog) -> tuple[NDArray[np.int64], NDArray[np.uint8], NDArray[np.int32]]:
    listed = found.index < len(found.layout.values)
    record, index, value = found.record[listed].astype(np.int64), found.index[listed], found.value[listed]
    limits = np.iinfo(np.int32)
    fixed = [
        (number, item.constant)
        for number, item in enumerate(found.layout.values[: np.iinfo(np.uint8).max])
        if item.constant is not None and limits.min <= item.constant <= limits.max
    ]
    if not fixed:
        return record, index, value
    count = len(found)
    record = np.concatenate([record, np.tile(np.arange(count), len(fixed))])
    index = np.concatenate([index, np.repeat(np.array([number for number, _ in fixed], np.uint8), count)])
    value = np.concatenate([value, np.repeat(np.array([constant for _, constant in fixed], np.int32), count)])
    order = np.argsort(record, kind="stable")
    return record[order], index[order], value[order]
