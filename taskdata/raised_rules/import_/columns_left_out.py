"""Columns of a layer of another program are left out.

What it checks
    Whether a layer that another program wrote has columns besides the one with the names.
Why it matters
    Their values are not in the result; only names and geometry are read.
Example
    A layer of fields with the crop of three years.
How to fix
    Nothing, if the columns are not needed; choose another column for the names with --name-column.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.columns-left-out",
    severity=Severity.NOTE,
    message="{names}. These columns are left out: {columns}.",
    remedy="If another column holds the names, choose it with [[name_column]].",
)
