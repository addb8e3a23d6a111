"""What a layer says about its coordinates cannot be read.

What it checks
    That the .prj of a shapefile can be read.
Why it matters
    It states the coordinate reference system. The layer was read as if the file were not there.
Example
    A .prj that was cut off while it was copied.
How to fix
    Copy the .prj again, or name the system with --crs.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.unreadable-crs",
    severity=Severity.WARNING,
    message="The coordinate reference system that {layer} states cannot be read.",
    remedy="Copy its .prj again, or name the system with [[crs=EPSG:<code>]].",
)
