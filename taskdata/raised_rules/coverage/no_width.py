"""Nothing says how wide an implement works.

What it checks
    That the device description or the user gives a working width.
Why it matters
    A track without a width covers no area.
Example
    The log of a simple guidance display, without a device description.
How to fix
    Give the width with --width, and the position of the implement with --offset-back and --offset-right.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.no-width",
    severity=Severity.ERROR,
    message="Nothing says how wide the implement of {file} works, so no area can be computed from it.",
    remedy="Give the width with [[width_m]].",
)
