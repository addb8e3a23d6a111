"""A repair of this program failed.

What it checks
    That every repair ran to its end.
Why it matters
    Nothing of the failed repair is in the result: the faults that it repairs are left. All other repairs were made.
Example
    The repair geometry.open_ring could not be made: ZeroDivisionError: division by zero.
How to fix
    Report the defect together with the data set. What is left of the faults is listed by an audit of the result.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="internal.repair-failed",
    severity=Severity.ERROR,
    message="The repair {name} could not be made: {cause}. Nothing of it is in the result.",
    remedy="This is a defect of the program: report it together with the data set. All other repairs were made.",
)
