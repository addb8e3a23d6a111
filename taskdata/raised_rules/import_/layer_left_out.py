"""A table holds nothing that task data has a place for.

What it checks
    That every table holds something that task data can hold.
Why it matters
    The table is not in the result.
Example
    A table of styles that a GIS added to the file.
How to fix
    Nothing, if it does not belong to the field data; otherwise give its rows a geometry.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.layer-left-out",
    severity=Severity.NOTE,
    message="{layer} is left out: {reason}.",
    remedy="Nothing to do, unless it holds field data.",
)
