"""Values out of network messages, as log triggers (DLT) and log values (DLV) name them."""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.isoxml.tree.element import Element

PGN, FIRST, LAST = "DataLogPGN", "DataLogPGNStartBit", "DataLogPGNStopBit"
DDIS = {"DLT": "DataLogDDI", "DLV": "ProcessDataDDI"}


def carriers(subject: Subject) -> Iterator[Element]:
    """Yield every log trigger and log value, those in the headers of time logs included."""
    for tag in DDIS:
        yield from subject.tagged(tag)
    for file in subject.xml_files:
        if file.role == "header":
            yield from file.root.elements("DLV")
