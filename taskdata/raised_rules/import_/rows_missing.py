"""A file holds fewer rows than it says.

What it checks
    That a file holds as many rows as it says at its beginning.
Why it matters
    The rows at its end are missing from the result.
Example
    A file of which the second half was not copied.
How to fix
    Copy the file again from the original.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.rows-missing",
    severity=Severity.ERROR,
    message="{file} says that it holds {total} rows, and {count} can be read.",
    remedy="Copy it again from the original, and check that every row is there.",
)
