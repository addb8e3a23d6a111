"""A coordinate reference system that was named with --crs has no effect.

What it checks
    That a coordinate reference system that was given by hand (--crs) has an effect.
Why it matters
    It is for layers that name none, or an implausible one. Whoever meant to correct a wrong system would believe that
    it was done.
Example
    --crs EPSG:25832 for task data, which is always in WGS 84, or for a shapefile with a .prj.
How to fix
    Leave --crs out. Where the layer names a wrong system, correct or remove its .prj.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.crs-not-applied",
    severity=Severity.NOTE,
    message="{crs} was not applied to {layer}: {reason}.",
    remedy="Leave [[crs]] out; if the layer names a wrong system, correct or remove its .prj.",
)
