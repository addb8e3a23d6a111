"""A part of a machine works the same ground as a wider part of it.

What it checks
    That the working parts of a machine lie side by side.
Why it matters
    Two booms over the same strip, such as for seed and fertilizer, would count every spot twice.
Example
    A drill whose seed and fertilizer bars are both described.
How to fix
    Nothing, if both work together; its sections are not counted.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.boom-left-out",
    severity=Severity.NOTE,
    message="{name} works the same strip as a wider part of its machine; the area is counted once.",
    remedy="Nothing, if both work together.",
)
