"""The records of time logs as stored, decoded once for all rules, and where a record lies in its file."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from taskdata.checks._once import once
from taskdata.checks.subject import Subject
from taskdata.findings import Place
from taskdata.isoxml.timelog.files import read_log
from taskdata.isoxml.timelog.layout import pair_dtype
from taskdata.isoxml.timelog.log import TimeLog
from taskdata.isoxml.tree.document import XmlFile
from taskdata.isoxml.tree.filenames import file_name


@dataclass(eq=False)
class Log:
    """A time log: name of its binary file, its header, the task it belongs to, its records."""

    file: str
    header: XmlFile
    task: str | None
    records: TimeLog

    def stores(self, field: str) -> bool:
        """Tell whether each record holds a field, by the standard's name; a constant of the header is not held."""
        return any(item.name == field for item in self.records.layout.fields)

    def place(self, record: int) -> Place:
        """Where a record stands in the binary file, and on Earth where it tells that."""
        found = Place(file=self.file, element=self.task, record=record, offset=int(self._starts[record]))
        lon, lat = float(self.longitude[record]), float(self.latitude[record])
        return replace(found, location=(lon, lat)) if abs(lon) <= 180.0 and abs(lat) <= 90.0 else found

    @cached_property
    def longitude(self) -> NDArray[np.float64]:
        """Degrees, (records,); NaN = not available."""
        return self.records.longitude()

    @cached_property
    def latitude(self) -> NDArray[np.float64]:
        """Degrees, (records,); NaN = not available."""
        return self.records.latitude()

    @cached_property
    def time(self) -> NDArray[np.datetime64]:
        """Local time, (records,) datetime64[ms]; NaT = not available."""
        return self.records.time()

    @cached_property
    def regular(self) -> NDArray[np.uint8] | None:
        """Positions of the values of a record, where every record holds the same in the same order; else None."""
        count, index = len(self.records), self.records.index
        values = index.size // count if count else 0
        if not values or values * count != index.size or not bool((self.records.counts == values).all()):
            return None
        table = index.reshape(count, values)
        return table[0] if bool((table == table[0]).all()) else None

    @cached_property
    def _starts(self) -> NDArray[np.int64]:
        sizes = self.records.layout.dtype.itemsize + pair_dtype().itemsize * self.records.counts.astype(np.int64)
        return np.cumsum(sizes) - sizes


@once
def logs(subject: Subject) -> tuple[Log, ...]:
    """Return every log whose two files can be read, a file that two logs name once."""
    found: dict[str, Log] = {}
    for element in subject.tagged("TLG"):
        name = (file_name(element) or "").upper()
        header, binary = subject.header(name), subject.file(f"{name}.BIN")
        if subject.document is None or header is None or binary is None or header.root.tag != "TIM":
            continue
        records = None if name in found else read_log(subject.document, name)
        if records is not None:
            found[name] = Log(binary.name, header, subject.place(element).element, records)
    return tuple(found.values())


def extent(count: int, first: int, last: int) -> str:
    """Return which records have a fault, as words: ``record 5``, ``records 5 to 7``, ``12 records from 5 to 900``."""
    if count == 1:
        return f"record {first}"
    return f"records {first} to {last}" if count == last - first + 1 else f"{count} records from {first} to {last}"
