"""The rows of a layer are taken as coverage: each is ground that an implement worked.

What it checks
    Whether rows are polygons or lines with a width that follow each other as a bar sweeps the ground, and how wide that
    bar is. The width is the widest that at least a tenth of the distance was driven with; its spread is the standard
    deviation of single measurements.
Why it matters
    They become passes of a task with a log each, so that coverage and figures can be computed. They are not kept as
    fields, areas or lines.
Example
    A layer with a small polygon for each second of work.
How to fix
    Compare the width with that of the implement. If the rows are something else, say what they are.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.swaths-recovered",
    severity=Severity.NOTE,
    message="{layer} is taken as coverage: {count} with a width of {width} (spread {spread}), order by {basis}.",
    remedy="Compare the width with your implement's; if the layer is something else, say so with [[roles]].",
)
