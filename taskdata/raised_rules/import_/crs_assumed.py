"""A layer does not say what its coordinates are in.

What it checks
    That a layer states its coordinate reference system.
Why it matters
    Coordinates that look like degrees were taken as WGS 84. If they are degrees of an older datum, lines and boundaries
    lie off by up to some hundred metres.
Example
    A shapefile without its .prj.
How to fix
    Copy the .prj too, or name the system with --crs.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.crs-assumed",
    severity=Severity.WARNING,
    message="{layer} states no coordinate reference system; WGS 84 was assumed since the coordinates look like "
    "degrees.",
    remedy="Copy its .prj too, or name the system with [[crs=EPSG:<code>]].",
)
