"""A shapefile has no attribute table (.dbf) that can be read.

What it checks
    That a shapefile has its attribute table (.dbf).
Why it matters
    Names and all other attributes are missing; what is read gets generated names.
Example
    The .dbf was left behind when the files were copied.
How to fix
    Copy all files of the shapefile: .shp, .shx, .dbf, .prj, .cpg.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.no-attributes",
    severity=Severity.WARNING,
    message="{layer} has no readable attribute table (.dbf); only its geometry was read.",
    remedy="Copy all files of the shapefile: .shp, .shx, .dbf, .prj, .cpg.",
    clause="ESRI Shapefile Technical Description",
)
