"""A single position jumps off the track and back.

What it checks
    That no single position is more than 3 m and five usual steps off the line between its neighbours.
Why it matters
    The detour would count an area that nobody worked.
Example
    A position 30 m to the side in a pass at 2 m a second.
How to fix
    Check the GNSS receiver if there are many.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.stray-position",
    severity=Severity.NOTE,
    message="Log {file} has single positions that jump off the track and back ({count} x); they are left out.",
    remedy="Check the GNSS receiver if there are many.",
)
