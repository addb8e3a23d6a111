"""The clock of a log was set back.

What it checks
    That no time stamp of a log is before the previous one.
Why it matters
    The length of that interval is not known. It counts as a usual one, and later stamps count from there, so times,
    speed and capacity are off by no more than that.
Example
    The end of summer time during work: 02:59:59 is followed by 02:00:00.
How to fix
    Let the GNSS receiver set the clock, and treat the times of that log with care.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.clock-set-back",
    severity=Severity.WARNING,
    message="The clock of {file} was set back ({count} x): {what}.",
    remedy="Each such interval counts as one of usual length; check times if they matter.",
)
