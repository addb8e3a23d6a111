"""What the decoder finds in the header and the binary file of every time log, passed on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._records import logs
from taskdata.findings import Finding
from taskdata.isoxml.filenames import file_name
from taskdata.isoxml.timelog import rules
from taskdata.isoxml.timelog.layout import Layout
from taskdata.isoxml.to_model.logs import header_of

RULES = rules.RULES


def check(subject: Subject) -> Iterator[Finding]:
    """Yield the findings of every time log whose two files are there, each file once."""
    decoded = {log.file.upper(): log.records for log in logs(subject)}
    done: set[str] = set()
    for element in subject.tagged("TLG"):
        name = file_name(element)
        header = subject.header(name) if name else None
        if name is None or header is None or header.root.tag != "TIM" or name.upper() in done:
            continue
        done.add(name.upper())
        records = decoded.get(f"{name}.BIN".upper())
        layout = Layout.of(header_of(header.root), header.name) if records is None else records.layout
        for finding in (*layout.findings, *(() if records is None else records.findings)):
            yield replace(finding, place=replace(finding.place, element=element.nearest_id()))
