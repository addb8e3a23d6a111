"""A log of a task cannot be read.

What it checks
    That header and records of every log of a task are there.
Why it matters
    The area worked in it is unknown, so no missed area is given.
Example
    TLG00002.XML without TLG00002.BIN.
How to fix
    Copy both files again from the original.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.unreadable-log",
    severity=Severity.ERROR,
    message="Log {file} cannot be read, and is missing from the figures.",
    remedy="Copy both of its files again from the original.",
)
