"""A task has no log.

What it checks
    That a task whose coverage is asked for has a log.
Why it matters
    Coverage is computed from logged positions.
Example
    A task that is only planned.
How to fix
    Choose a task that was worked.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.no-log",
    severity=Severity.WARNING,
    message="Task {name} has no log, so nothing is known of what it covered.",
    remedy="Choose a task that was worked.",
)
