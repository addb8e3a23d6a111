"""Rows lie outside the area of use of their coordinate reference system.

What it checks
    That the rows of a layer lie in the area that its coordinate reference system is made for.
Why it matters
    Beyond it the change of datum is not certain and the projection is stretched. More often the layer states the wrong
    system, or its coordinates are swapped, and all of it lies in the wrong place.
Example
    A layer in Germany that says EPSG:32633 where its numbers are in EPSG:32632.
How to fix
    Check where the rows lie. If the system is wrong, correct it and convert again; check the first pass by eye.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.outside-area-of-use",
    severity=Severity.WARNING,
    message="{rows} of {layer} lie outside the area of use of {crs} ({area}), such as row {row}; transformed to "
    "WGS 84 by {operation} (accuracy {accuracy}) nevertheless.",
    remedy="Check that the layer states the right system; check the first pass by eye.",
    clause="ISO 19111, domain of validity",
)
