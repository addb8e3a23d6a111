"""A GeoPackage is damaged within.

What it checks
    That the pages of a GeoPackage fit together, according to the quick check of SQLite.
Why it matters
    Rows on damaged pages are missing, and nobody can say how many.
Example
    A stick that was pulled out while the file was written to.
How to fix
    Copy the file again from the original.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.database-damaged",
    severity=Severity.ERROR,
    message="{file} is damaged inside; rows may be missing.",
    remedy="Copy it again from the original, and check that every row is there.",
    clause="OGC 12-128r18 clause 1.1.1",
)
