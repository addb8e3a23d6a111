"""A log does not say when a machine of its task worked.

What it checks
    That a log holds work states, widths or rates of every machine of its task that has a working width.
Why it matters
    The area that such a machine worked is missing from the figures, or was also worked by another one.
Example
    A front mower that logs no work state, and a rear one that does.
How to fix
    Count it alone with --device, or log its work state.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.device-left-out",
    severity=Severity.WARNING,
    message="Log {file} does not say when {name} worked ({width} m wide); its area is not counted.",
    remedy="Count it with [[device]] where it worked.",
)
