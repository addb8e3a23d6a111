"""A copy of something else on the stick is left out.

What it checks
    Whether files on a stick hold the same, or are dated copies of each other with mostly the same rows.
Why it matters
    Read twice, every field and line would stand in the result twice.
Example
    ``fields.shp`` and ``backup/fields_2023-05-01.shp`` with the same fields.
How to fix
    Nothing, if the newer one is meant; else choose the other one by its path.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.copy-left-out",
    severity=Severity.NOTE,
    message="{layer} is left out: {reason}.",
    remedy="Choose it by its path with [[take]], if it is the one that is meant.",
)
