"""The coordinate reference system that was named took the place of one that a layer states.

What it checks
    Whether the system named with --crs was used for a layer that states another.
Why it matters
    It is used only if the stated one is implausible and the named one is not. If the stated one was right all the same,
    the layer lies in the wrong place.
Example
    Lines whose .prj says zone 33, beside fields in zone 32, read with --crs EPSG:25832.
How to fix
    Look where the layer lies on a map, and check the first pass by eye.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.crs-replaced",
    severity=Severity.WARNING,
    message="{layer} was read in {crs} as named, since {reason}.",
    remedy="Look where it lies, and check the first pass by eye.",
)
