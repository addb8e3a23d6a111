"""The polygons of coverage are joined.

What it checks
    That polygons of coverage lie side by side. Those that touch, overlap or leave gaps up to half a metre become one,
    as long as the area changes by 0.5 % at most; where it would change by more, only narrower gaps are closed.
Why it matters
    A map of a few clean polygons is what other programs can use; the area stays what was covered.
Example
    Thousands of slivers, one for each second of work.
How to fix
    Nothing. GIS formats get the joined polygons as the layer coverage.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.coverage-joined",
    severity=Severity.NOTE,
    message="The polygons of {layer} cover {area}, joined to {count}; gaps up to {limit} closed change it by {share}.",
    remedy="Nothing to do; GIS formats get them as the layer coverage.",
)
