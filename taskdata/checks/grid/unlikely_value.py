"""Cells of a grid set a value that no machine applies.

What it checks
    That the values in the cells of a grid of type 2 lie in the range of the data dictionary and within bounds that no
    machine leaves. The bounds are common practice, such as 80,000 L/ha; many ranges are from memory. Values of zones
    are reported by setpoint.unlikely-value.
Why it matters
    The machine applies what the cell under it says. Most likely a unit was mistaken, columns were mixed up, or the file
    is damaged.
Example
    Bad: cells with 2,000,000,000 for 0006, 20,000,000 kg/ha.
    Good: cells with 20,000, 200 kg/ha.
How to fix
    Export the map again, with the right unit. Do not work with it until then.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.tasks import Grid
from taskdata.quantities.dictionary import entry
from taskdata.quantities.plausible import crossed, left, listed, shown, usual

RULE = Rule(
    id="grid.unlikely-value",
    severity=Severity.WARNING,
    message="{name} of {count} of the {total} cells of {file}, such as {value}, cannot be right; {limit} is {what}.",
    remedy="Export the map again, with the right unit; do not work with it until then.",
    clause="8.6.2",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each quantity of such a grid, with the value farthest from 0."""
    for _, grid in subject.grids:
        cells = grid.cells if grid.setpoints else None
        if cells is not None and cells.ndim == 3:
            yield from _of(grid, cells)


def _of(grid: Grid, cells: np.ndarray[tuple[int, ...], np.dtype[np.generic]]) -> Iterator[Finding]:
    for number, setpoint in enumerate(grid.setpoints[: cells.shape[-1]]):
        values, ddi = np.asarray(cells[..., number], dtype=np.int64).ravel(), setpoint.ddi
        least = max(limits.least for limits in (listed(ddi), usual(ddi)))
        most = min(limits.most for limits in (listed(ddi), usual(ddi)))
        wrong = values[(values < least) | (values > most)]
        if len(wrong):
            worst = int(wrong[np.abs(wrong).argmax()])
            bound = left(ddi, worst)
            if bound is not None:
                facts = {"value": shown(worst, ddi), "limit": crossed(bound[1], worst, ddi), "what": bound[0]}
                counts = {"count": str(len(wrong)), "total": str(len(values))}
                name = entry(ddi).plain_name
                yield RULE.at(grid.place, severity=None, name=name, file=grid.file, **counts, **facts)
