"""Nothing says where the antenna of a machine is.

What it checks
    That a machine of the task has a navigation element, or the user gives the offset of the implement.
Why it matters
    Coverage is shifted by as much as the antenna is off.
Example
    A device description without an element of type 7.
How to fix
    Give the position of the implement with --offset-back and --offset-right.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.no-navigation",
    severity=Severity.WARNING,
    message="The position of the antenna of {file} is unknown; it is assumed to be at the reference point of "
    "the machine.",
    remedy="Give the position of the implement with [[offset_back_m]] and [[offset_right_m]].",
)
