"""A line stands in for the log that is missing.

What it checks
    That a source without logs has lines or points that may be a track.
Why it matters
    A guidance line is not always where the machine drove.
Example
    A shapefile with a line of a day's driving.
How to fix
    Choose a source with logs if that is wrong.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.line-as-track",
    severity=Severity.NOTE,
    message="There is no log; {name} counts as the track.",
    remedy="Choose a source with logs if that is wrong.",
)
