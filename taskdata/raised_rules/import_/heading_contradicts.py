"""A stated heading contradicts the points of a guidance line.

What it checks
    Whether the heading in a column differs from that from the first to the last point of the line by more than half a
    degree.
Why it matters
    The points are kept, the heading is not: the line may have been drawn in the other direction, the heading may count
    from grid or magnetic north, or one of them is wrong.
Example
    A line runs at 83 degrees, and its row says 263.
How to fix
    Compare the line with what the machine had, and drive the first pass by eye.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.heading-contradicts",
    severity=Severity.WARNING,
    message="Row {row} of {layer} states a heading of {stated}, and its line runs at {found}: the points are kept.",
    remedy="Compare the line with what the machine had, and drive the first pass by eye.",
)
