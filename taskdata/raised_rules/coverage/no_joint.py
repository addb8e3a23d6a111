"""Nothing says how the machines of a task are joined.

What it checks
    That a task says which connectors join its machines (CNN).
Why it matters
    Without it the implement may be metres from its computed position.
Example
    A tractor with a front and a rear hitch, and no CNN.
How to fix
    Give the position of the implement with --offset-back and --offset-right.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.no-joint",
    severity=Severity.WARNING,
    message="How the machines of {file} are connected is unknown; the implement is assumed to be at the antenna.",
    remedy="Give its position with [[offset_back_m]] and [[offset_right_m]].",
)
