"""Time logs as repairs change them: columns of the binary file are altered, all else stays to the byte."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from taskdata.checks.registry import Check
from taskdata.dataclass import dataclass
from taskdata.findings import Finding
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.timelog.encode import encode
from taskdata.isoxml.timelog.files import read_log
from taskdata.isoxml.timelog.log import Rows, TimeLog
from taskdata.isoxml.tree.document import XmlFile
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import file_name
from taskdata.isoxml.tree.stated_lengths import follow_length
from taskdata.repairs.repair_work import RepairWork


@dataclass(frozen=True, eq=False)
class Stored:
    """A time log of a set: its element (TLG), its header, its binary file and what that holds."""

    element: Element
    header: XmlFile
    blob: Blob
    log: TimeLog

    def stores(self, *names: str) -> bool:
        """Tell whether each record holds these fields, by the standard's names."""
        return set(names) <= {field.name for field in self.log.layout.fields}

    def put(self, work: RepairWork, rows: Rows) -> None:
        """Put other fixed parts into the records."""
        self.put_log(work, replace(self.log, rows=rows))

    def put_log(self, work: RepairWork, log: TimeLog) -> None:
        """Put another log into the binary file, and let the stated length follow."""
        content = encode(log)
        work.document.others[self.blob.name.upper()] = Blob.of(self.blob.name, content)
        follow_length(self.element, self.blob.size, len(content))


def found_logs(work: RepairWork, check: Check) -> Iterator[tuple[Stored, Finding]]:
    """Yield each log that a rule names, once, with the first finding in it."""
    first: dict[str, Finding] = {}
    for item in work.audit(check):
        first.setdefault((item.place.file or "").upper(), item)
    for element in work.tagged("TLG"):
        name = file_name(element) or ""
        finding = first.pop(f"{name}.BIN".upper(), None)
        header, blob = work.document.header(name), work.document.binary(name)
        if finding is None or header is None or blob is None or header.root.tag != "TIM":
            continue
        log = read_log(work.document, name)
        if log is not None:
            yield Stored(element, header, blob, log), finding
