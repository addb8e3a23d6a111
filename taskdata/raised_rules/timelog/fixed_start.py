"""All records of a log carry the same start time.

What it checks
    That the start of TIM in the header is written empty, so that every record stores its own.
Why it matters
    A fixed start says the same moment for every record: no speed, no duration and no order can be computed.
Example
    A header whose TIM starts at 2026-05-04T08:00:00 instead of an empty text.
How to fix
    Record the log with its times. Existing records cannot be given times afterwards.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="timelog.fixed-start",
    severity=Severity.WARNING,
    message="The header fixes one start time for all records.",
    remedy="Order and duration cannot be computed from this log; check the logging settings of the terminal.",
    clause="8.6.3",
    covers=("R-197",),
)
