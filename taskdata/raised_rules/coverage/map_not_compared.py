"""A rate map is for another quantity than the log holds.

What it checks
    That a task with a rate map logs the rate that the map sets, of the same quantity and part.
Why it matters
    What was applied cannot be compared with what was meant.
Example
    A map in kg/ha for a spreader that logs only its dose in pieces per square metre.
How to fix
    Look at both by hand, or plan the quantity that the machine logs.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.map-not-compared",
    severity=Severity.NOTE,
    message="The rate map of {name} is not compared with what was applied: it sets {what}, and the log holds {others}.",
    remedy="Look at both by hand, or plan the quantity that the machine logs.",
)
