"""The field of a task has no boundary with an area.

What it checks
    That the field of a task has a boundary with an area.
Why it matters
    The missed area is the field less what was worked.
Example
    A field that was named on the display but never recorded.
How to fix
    Add its boundary to the set.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.no-boundary",
    severity=Severity.WARNING,
    message="Field {name} has no boundary, so the missed area and the area outside are not known.",
    remedy="Add its boundary to the set.",
)
