"""A log has no position with a valid fix.

What it checks
    That a log has positions with a valid fix.
Why it matters
    Without positions it is not known where work was done.
Example
    A log whose records all have position status 0.
How to fix
    Check the GNSS receiver and its connection.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.no-position",
    severity=Severity.ERROR,
    message="Log {file} has no position ({count} records), so no area can be computed from it.",
    remedy="Check the GNSS receiver; times are still computed.",
)
