"""The times of a log are in UTC.

What it checks
    Whether the times of positions are coordinated universal time, as NMEA 0183 has them. Logs of task data are in the
    local time of the farm.
Why it matters
    Beside the logs of machines such a log seems to be some hours early or late.
Example
    A log of a receiver that begins at 06:00 UTC, which is 08:00 in a summer of central Europe.
How to fix
    Allow for the difference where logs are compared by their times.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.times-in-utc",
    severity=Severity.NOTE,
    message="The times of {layer} are in UTC, not in local time.",
    remedy="Allow for the difference where you compare it with logs of machines.",
)
