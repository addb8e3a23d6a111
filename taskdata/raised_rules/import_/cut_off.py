"""A file of a shapefile is cut off.

What it checks
    That the files of a shapefile are as long as their headers say.
Why it matters
    The end is missing: geometry, or names and other attributes.
Example
    A stick that was pulled out while it was written to.
How to fix
    Copy the files again from the original.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.cut-off",
    severity=Severity.ERROR,
    message="{file} was cut off: it has {size} bytes, and its header says {stated}.",
    remedy="Copy it again from the original; its end is missing.",
    clause="ESRI Shapefile Technical Description",
)
