"""Rows of coverage are not passes.

What it checks
    That each row of coverage is a polygon of four corners, a longer strip with two ends and two sides, or a line with a
    width, and says that work was done.
Why it matters
    The ground of a row that is left aside is missing in the log and in what is computed from it.
Example
    A polygon around all the ground that was worked in a day.
How to fix
    If the row is a field or an area, read it as one; else export the coverage in smaller pieces.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.swath-rows-left-aside",
    severity=Severity.WARNING,
    message="Left aside of {layer}: {count}, {reason}.",
    remedy="Read them as fields or areas with [[roles]], or export the coverage in smaller pieces.",
)
