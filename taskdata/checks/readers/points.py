"""What the decoder finds in every binary point file, passed on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from taskdata.checks.subject import Subject
from taskdata.findings import Finding
from taskdata.isoxml.filenames import file_name
from taskdata.isoxml.points import CUT_RECORD, PointLayout, decode

RULES = (CUT_RECORD,)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield the findings of every binary point file that is there."""
    for element in subject.tagged("PNT"):
        name = file_name(element)
        binary = subject.file(f"{name}.BIN") if name else None
        if binary is not None:
            found = decode(binary.read(), PointLayout.of(element.attributes), file=binary.name).findings
            for finding in found:
                yield replace(finding, place=replace(finding.place, element=element.nearest_id()))
