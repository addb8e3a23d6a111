"""A grid has more rows or columns than a terminal has to support.

What it checks
    That a grid (GRD) has at most 350 rows and 350 columns.
Why it matters
    A larger one may be refused, cut off or read slowly.
Example
    Bad: E="900", 900 columns.
    Good: E="300" and cells three times as wide.
How to fix
    Export the map with larger cells, or split it over several tasks. Cells much smaller than the machine is wide gain
    nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="grid.too-many-cells",
    severity=Severity.NOTE,
    message=(
        "The grid {file} of {task} has {rows} rows and {columns} columns; a terminal need not support more than 350 "
        "of each."
    ),
    remedy="Export the map with larger cells, or split it over several tasks.",
    clause="F.2.2",
    covers=("R-166",),
)
MOST = 350


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such grid."""
    for task, grid in subject.grids:
        if grid.rows > MOST or grid.columns > MOST:
            yield RULE.at(grid.place, file=grid.file, task=task.id, rows=grid.rows, columns=grid.columns)
