"""A folder or archive beside the set cannot be looked into.

What it checks
    Whether every folder and archive beside the set could be looked into.
Why it matters
    Another set may lie there, and nothing of it was read.
Example
    An archive season.zip beside the set whose end is missing.
How to fix
    Copy it again, or remove it from the stick if it holds nothing of value.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.not-looked-into",
    severity=Severity.WARNING,
    message="{found} could not be opened ({reason}); any set in it was not read.",
    remedy="Copy it again from the original if it may hold a set.",
    clause="8.5",
)
