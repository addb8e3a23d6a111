"""A pattern or an entry of a mapping file fits nothing that was read.

What it checks
    Whether what was said of items by their paths fits at least one of them.
Why it matters
    What was said has no effect; the path may be written otherwise.
Example
    ``--role "line.shp=guidance"`` where the file is called ``lines.shp``.
How to fix
    Look at the paths that ``inspect`` shows, and write the pattern as they are.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.fits-nothing",
    severity=Severity.WARNING,
    message="{what} fits nothing that was read.",
    remedy="Write the pattern as the paths are that [[survey()]] shows.",
)
