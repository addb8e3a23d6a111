"""The decoded records of time logs, and where a record lies in its file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from taskdata.checks.subject import Subject
from taskdata.findings import Place
from taskdata.isoxml.facts import letter
from taskdata.isoxml.timelog.decode import decode
from taskdata.isoxml.timelog.layout import Layout, pair_dtype
from taskdata.isoxml.to_model.logs import header_of
from taskdata.model.tasks import Log, LogRecords, Task

MOST_STRETCHES = 1000
_OFFSETS: WeakKeyDictionary[Subject, dict[str, NDArray[np.int64]]] = WeakKeyDictionary()


def logs(subject: Subject) -> Iterator[tuple[Task, Log, LogRecords]]:
    """Yield every log whose records could be read, with its task; a file that two logs name once."""
    done: set[str] = set()
    for task in subject.dataset.tasks:
        for log in task.logs:
            name = log.file.upper()
            if name not in done and log.records is not None:
                done.add(name)
                yield task, log, log.records


def is_stored(subject: Subject, log: Log, name: str) -> bool:
    """Tell whether records store a field of the position, by the standard's name; a constant is not stored."""
    header = subject.header(log.file)
    position = None if header is None else next(header.root.elements("PTN"), None)
    return position is not None and position.attributes.get(letter(position.tag, name)) == ""


def stretches(wrong: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return the first record of each run of marked records, and how many are marked in it.

    More than a thousand runs become one.
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[False], wrong, [False]]).astype(np.int8)))
    starts, stops = edges[::2], edges[1::2]
    if len(starts) > MOST_STRETCHES:
        return [(int(starts[0]), int(np.count_nonzero(wrong)))]
    return list(zip(starts.tolist(), (stops - starts).tolist(), strict=True))


def place(subject: Subject, task: Task, log: Log, record: int) -> Place:
    """Where a record of a log stands in its binary file, and where it was written, where it knows that."""
    binary = subject.file(f"{log.file}.BIN")
    name = f"{log.file}.BIN" if binary is None else binary.name
    found = Place(file=name, element=task.id or None, record=record, offset=_offset(subject, log, record))
    records = log.records
    if records is None:
        return found
    lon, lat = float(records.lon[record]), float(records.lat[record])
    on_earth = abs(lon) <= 180.0 and abs(lat) <= 90.0
    return replace(found, location=(lon, lat)) if on_earth else found


def _offset(subject: Subject, log: Log, record: int) -> int | None:
    known = _OFFSETS.setdefault(subject, {})
    if log.file not in known:
        header, binary = subject.header(log.file), subject.file(f"{log.file}.BIN")
        if header is None or binary is None:
            return None
        found = decode(binary.read(), Layout.of(header_of(header.root)))
        sizes = found.layout.dtype.itemsize + pair_dtype().itemsize * found.counts.astype(np.int64)
        known[log.file] = np.cumsum(sizes) - sizes
    return int(known[log.file][record])
