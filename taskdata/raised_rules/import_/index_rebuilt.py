"""A shapefile has no index (.shx).

What it checks
    That a shapefile has its index (.shx).
Why it matters
    Without it most programs refuse the file. It was rebuilt in a temporary copy; the source is as it was.
Example
    Only the .shp was sent by mail.
How to fix
    Copy all files of the shapefile: .shp, .shx, .dbf, .prj, .cpg.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.index-rebuilt",
    severity=Severity.NOTE,
    message="{layer} has no index file (.shx); it was rebuilt for reading.",
    remedy="Copy all files of the shapefile: .shp, .shx, .dbf, .prj, .cpg.",
    clause="ESRI Shapefile Technical Description",
)
