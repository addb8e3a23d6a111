"""A log or track has no times.

What it checks
    That a log or track has times.
Why it matters
    Speed and capacity cannot be computed without them.
Example
    A line drawn from a track.
How to fix
    Use the log itself if there is one.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.no-time",
    severity=Severity.NOTE,
    message="{file} has no times, so speed, capacity and efficiency are not known.",
    remedy="Use the log itself if there is one.",
)
