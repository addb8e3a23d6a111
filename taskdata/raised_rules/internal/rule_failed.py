"""A rule of this program failed.

What it checks
    That every rule ran to its end.
Why it matters
    What the failed rule would have found is not in this report.
Example
    The rule geometry.open-ring could not be applied: ZeroDivisionError: division by zero.
How to fix
    Report the defect together with the data set. The findings of all other rules are valid.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="internal.rule-failed",
    severity=Severity.ERROR,
    message="The rule {rule} could not be applied: {cause}.",
    remedy="This is a defect of the program: report it together with the data set. All other rules were applied.",
)
