"""A log of positions holds columns that are not read into the log of a task.

What it checks
    Whether a log has columns besides time, place, height, kind of fix, satellites, dilution of precision, width and
    work state, which are taken over.
Why it matters
    The others are in the source alone.
Example
    The speed over ground that a receiver writes beside each position.
How to fix
    Nothing, if the columns are not needed. Speeds are computed from the positions and times.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.log-columns-left-out",
    severity=Severity.NOTE,
    message="{layer} became a log of a task, without these columns: {columns}.",
    remedy="Keep the source if they are needed.",
)
