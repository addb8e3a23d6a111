"""A log has no times.

What it checks
    Whether the positions of a log come without any date and time.
Why it matters
    Distances and what was covered can be computed, durations and speeds cannot, and the order of the records is that
    of the rows.
Example
    A table with the position, the yield and the speed of each second, but without a clock.
How to fix
    Export it with the time. If the rows are single places, say so with --role.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.log-without-times",
    severity=Severity.WARNING,
    message="{layer} is taken as a log of {count} positions without times.",
    remedy="If the rows are single places, say so with [[roles]].",
)
