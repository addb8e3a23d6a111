"""Times of points are not understood.

What it checks
    That a column called time or date, beside at least ten points, holds a date and a time in every row.
Why it matters
    Points with times that go on from row to row are a log, of which distance, speed and coverage can be computed.
    Without their times they are single places, and a record without a time is missing from the working time.
Example
    A table with the time of day alone, or with day and month in an order that nothing shows.
How to fix
    Write date and time as 2026-05-13 10:00:00.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.times-not-understood",
    severity=Severity.WARNING,
    message="Times of {layer} are not understood, in column {columns}: {reason}.",
    remedy="Write date and time as 2026-05-13 10:00:00.",
)
