"""A file in XML is damaged or cut off.

What it checks
    That a file of layers in XML can be read to its end.
Why it matters
    What stands before the damage was read; what comes after it is not in the result.
Example
    A track of a receiver that lost power while it was writing.
How to fix
    Copy the file again from the original. Where there is no better copy, look at what the end of the track lacks.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.broken-off",
    severity=Severity.ERROR,
    message="{file} is damaged or cut off in line {line}: {reason}. What stands before was read.",
    remedy="Copy it again from the original; what comes after that line is missing.",
)
