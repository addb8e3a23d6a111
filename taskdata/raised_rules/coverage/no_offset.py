"""Nothing says where an implement is behind the antenna.

What it checks
    That the user gives the offset of an implement that nothing describes.
Why it matters
    Coverage is shifted by as much as the implement is off.
Example
    A width given by hand for a bare track.
How to fix
    Give the position of the implement with --offset-back and --offset-right.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.no-offset",
    severity=Severity.NOTE,
    message="The position of the implement of {file} is unknown; it is assumed to be at the antenna.",
    remedy="Give its position with [[offset_back_m]] and [[offset_right_m]].",
)
