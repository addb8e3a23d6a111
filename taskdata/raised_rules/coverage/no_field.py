"""Nothing says which field a task was done on.

What it checks
    That a task names a field with a boundary, or its positions lie in one.
Why it matters
    The missed area is the field less what was worked.
Example
    A task without a field, worked where there is no boundary.
How to fix
    Give the field with --field, or add its boundary to the set.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.no-field",
    severity=Severity.WARNING,
    message="The field of {name} is unknown, so the missed area and the area outside are not known.",
    remedy="Give the field with [[field]].",
)
