"""Tasks on one field that were asked for together are not one operation.

What it checks
    That tasks on one field that are counted together are one operation: the same product, practice or machines.
Why it matters
    An area that two different operations worked was not worked twice.
Example
    Two sprayings of a field with different products.
How to fix
    Name both tasks with --task to count them as one operation.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.kept-apart",
    severity=Severity.NOTE,
    message="{name} is not counted together with {others}: {reason}.",
    remedy="Name both with [[task]] to count them as one operation.",
)
