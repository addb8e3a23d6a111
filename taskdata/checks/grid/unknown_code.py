"""A grid names a treatment zone that the task does not have.

What it checks
    That every cell of a type 1 grid holds the code of a treatment zone of the same task. 255 can never be one.
Why it matters
    Nobody knows what to apply there. A terminal may keep the last rate, apply the default, or stop.
Example
    Bad: cells of the code 9 in a task with the zones 0, 1 and 2.
    Good: every code of the grid is a zone.
How to fix
    Add the zone with its rate, or export the map again. Do not work with the map as it is.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.isoxml.binary.grid import decode_codes

RULE = Rule(
    id="grid.unknown-code",
    severity=Severity.ERROR,
    message=(
        "{file} holds the code {code}, which is not a treatment zone of {task}, in {count} of its cells; the first is "
        "in row {row} from the south, column {column} from the west, counted from 0."
    ),
    remedy="Add a treatment zone of that code with its rate, or export the map again.",
    clause="8.6.2",
    covers=("R-161",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each unknown code of a type 1 grid, at its first cell."""
    for task, grid in subject.grids:
        binary = subject.file(f"{grid.file}.BIN") if grid.kind == 1 else None
        content = None if binary is None else binary.content()
        if binary is None or content is None:
            continue
        decoded = decode_codes(content, grid.columns, grid.rows, file=binary.name)
        cells = decoded.cells[decoded.present]
        known = {zone.code for zone in task.zones}
        codes, first, count = np.unique(cells, return_index=True, return_counts=True)
        for code, cell, number in zip(codes.tolist(), first.tolist(), count.tolist(), strict=True):
            if code not in known:
                row, column = divmod(cell, grid.columns)
                found = {"count": number, "code": code, "task": task.id, "row": row, "column": column}
                yield RULE.at(Place(file=binary.name, element=task.id, offset=cell), file=binary.name, **found)
