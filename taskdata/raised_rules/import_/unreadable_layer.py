"""A layer cannot be read.

What it checks
    That every layer of a folder or file can be read.
Why it matters
    What cannot be read is missing from the result.
Example
    A folder of three shapefiles of which one was cut off while it was copied.
How to fix
    Copy the layer again from the original.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.unreadable-layer",
    severity=Severity.ERROR,
    message="{layer} cannot be read and is left out: {reason}.",
    remedy="Copy it again from the original.",
)
