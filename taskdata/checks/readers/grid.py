"""What the decoder finds in the binary file of every grid, passed on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from taskdata.checks.subject import Subject
from taskdata.findings import Finding
from taskdata.isoxml import grid

RULES = (grid.WRONG_SIZE,)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield the findings of every grid whose binary file is there; one without known setpoints is passed over."""
    for task, item in subject.grids:
        binary = subject.file(f"{item.file}.BIN")
        if binary is None or (item.kind == 2 and not item.setpoints):
            continue
        size = (item.columns, item.rows)
        if item.kind == 1:
            found = grid.decode_codes(binary.read(), *size, file=binary.name)
        else:
            found = grid.decode_setpoints(binary.read(), *size, len(item.setpoints), file=binary.name)
        for finding in found.findings:
            yield replace(finding, place=replace(finding.place, element=task.id))
