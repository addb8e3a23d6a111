"""A grid has cells without size, or ends beyond the edge of the map.

What it checks
    That the cells of a grid (GRD) have a size greater than zero, and that the grid ends at or below 90 degrees north
    and 180 degrees east. Judged. Numbers of columns and rows of zero are reported as a file of the wrong size.
Why it matters
    Without a size all cells lie at one place; beyond the edge they lie nowhere. Usually the corner is not where the
    grid is, and then every rate is applied at the wrong place. Do not work with such a map.
Example
    Bad: C="0" or B="179.99" with 200 columns of 0.001 degrees.
    Good: C="0.0001" and the corner in the south-west of the field.
How to fix
    Export the map again. A grid across 180 degrees east has to be split.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.tasks import Grid

RULE = Rule(
    id="grid.bad-extent",
    severity=Severity.WARNING,
    message="The grid {file} of {task} {what}.",
    remedy="Export the map again; a grid across 180 degrees east has to be split.",
    clause="D.27",
    covers=("R-165",),
)
ALLOWED_DEG = 1e-9
POLE, ANTIMERIDIAN = 90.0, 180.0


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each fault in the extent of a grid, at its south-west corner."""
    for task, grid in subject.grids:
        for what in _faults(grid):
            place = replace(grid.place, location=(grid.min_lon, grid.min_lat))
            yield RULE.at(place, file=grid.file, task=task.id, what=what)


def _faults(grid: Grid) -> Iterator[str]:
    if grid.cell_lat <= 0 or grid.cell_lon <= 0:
        yield "has cells without size"
        return
    north, east = grid.min_lat + grid.rows * grid.cell_lat, grid.min_lon + grid.columns * grid.cell_lon
    if north > POLE + ALLOWED_DEG:
        yield f"ends at {north:.7g} degrees north"
    if east > ANTIMERIDIAN + ALLOWED_DEG:
        yield f"ends at {east:.7g} degrees east"
