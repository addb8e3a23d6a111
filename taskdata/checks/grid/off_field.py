"""A grid does not lie where its field is.

What it checks
    That the cells of a grid cover the field of its task. A part of the field with an outer ring of its own may be left
    out, which is a note; and with a default zone (TSK.H) any part may.
Why it matters
    Beside the grid there is no rate. One terminal keeps the last, another stops; if the grid lies elsewhere altogether,
    nothing of the map is applied.
Example
    Bad: a grid that ends 30 m before the eastern edge of the field.
    Good: a grid whose cells cover the field, those on the edge included.
How to fix
    Export the map again for this boundary. If all of it lies elsewhere, look for a swapped corner or a map of another
    field.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import shapely

from taskdata.checks._field_shapes import FieldShape, field_shape_of
from taskdata.checks._ground import spot
from taskdata.checks.subject import Subject
from taskdata.checks.zone._layers import has_default
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.geometry.nearest import in_metres
from taskdata.model.tasks import Grid
from taskdata.phrases import phrase

SHARE = Tolerance("grid.off-field.share", 2.0, "%", "Allowed share of a part of the field outside the grid")
RULE = Rule(
    id="grid.off-field",
    severity=Severity.WARNING,
    message="The grid {file} leaves {share} % of {target} uncovered: {what}.",
    remedy="Export the map again for this boundary, or name a default zone (TSK.H).",
    clause="8.6.2",
    tolerances=(SHARE,),
)
ELSEWHERE = phrase("it lies elsewhere")
PART = phrase("a part of the field")
EDGE = phrase("the edge of the field, or more")
SIDES = 8
"""Parts of an edge of the grid, which follows a parallel, that are straight in metres."""


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each grid that leaves some of its field uncovered, at a place beside it."""
    for task, grid in subject.grids:
        plot = field_shape_of(subject, task.field)
        if plot is None or not (grid.columns and grid.rows and grid.cell_lat > 0.0 and grid.cell_lon > 0.0):
            continue
        box = _box(plot, grid)
        parts = shapely.get_parts(plot.ground)
        covered = shapely.area(shapely.intersection(parts, box)) / shapely.area(parts)
        what = _what(covered, 1.0 - subject.profile[SHARE] / 100.0)
        if what is not None and (what == ELSEWHERE or not has_default(task)):
            beside = shapely.difference(plot.ground, box)
            place = spot(grid.place, plot.place_in(beside))
            severity = Severity.NOTE if what == PART else Severity.WARNING
            share = round(100.0 * float(shapely.area(beside)) / plot.area, 1)
            yield RULE.at(place, severity=severity, file=grid.file, share=share, target=plot.field.id, what=what)


def _what(covered: Any, enough: float) -> str | None:
    """Return what lies beside the grid, by the share of each part of the field that it covers; None for nothing."""
    if not (covered > 0.0).any():
        return ELSEWHERE
    if (covered[covered > 0.0] < enough).any():
        return EDGE
    return PART if (covered == 0.0).any() else None


def _box(plot: FieldShape, grid: Grid) -> Any:
    east = grid.min_lon + grid.columns * grid.cell_lon
    north = grid.min_lat + grid.rows * grid.cell_lat
    longest = max(grid.columns * grid.cell_lon, grid.rows * grid.cell_lat) / SIDES
    return in_metres(shapely.segmentize(shapely.box(grid.min_lon, grid.min_lat, east, north), longest), plot.plane)
