"""Coordinates carry measures, which are left out.

What it checks
    Whether coordinates carry measures besides their place.
Why it matters
    Task data cannot hold them; they are not in the result.
Example
    Lines on which every vertex has its distance from the start.
How to fix
    Nothing; the positions are complete.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.measures-left-out",
    severity=Severity.NOTE,
    message="{layer} has measures at its vertices; they are left out.",
    remedy="Nothing to do.",
)
