"""The index of a shapefile (.shx) does not fit its main file.

What it checks
    That the index of a shapefile (.shx) names for each row the place of its record in the main file (.shp).
Why it matters
    A wrong index gives a row the shape of another one, or none.
Example
    An index of last year beside a main file of this year.
How to fix
    Copy all files of the shapefile again, together.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.index-unfit",
    severity=Severity.ERROR,
    message="The index {file} does not fit {layer}; {taken}.",
    remedy="Copy all files of the shapefile again, together; check that each row has its own shape.",
    clause="ESRI Shapefile Technical Description, Organization of the Index File",
)
