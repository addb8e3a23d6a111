"""A log holds no record.

What it checks
    That a log holds records.
Why it matters
    Without records it is not known what was done: the area is unknown, not missed.
Example
    A task whose TLG00001.BIN has 0 bytes.
How to fix
    Copy the file again from the terminal; a task that was only planned has none to copy.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.empty-log",
    severity=Severity.WARNING,
    message="Log {file} holds no record, so it is not known what was done.",
    remedy="Copy it again from the terminal, if work was done.",
)
