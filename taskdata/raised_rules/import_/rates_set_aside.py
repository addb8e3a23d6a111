"""A layer that most likely holds rates is left aside.

What it checks
    Whether a layer of another program is a rate map: cells or zones with rates.
Why it matters
    Rates are work to be done, not fields: they become the zones or the grid of a task, in a unit and for a product
    that somebody has to name.
Example
    Squares of one size with a column of kilograms per hectare.
How to fix
    Read it with taskdata ratemap. If it is something else, say what it is with --role.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.rates-set-aside",
    severity=Severity.WARNING,
    message="{layer} is left aside: it is taken as a rate map (about {share} certain), because {reason}.",
    remedy="Make a task of it with [[ratemap()]]; if it is something else, say so with [[roles]].",
)
