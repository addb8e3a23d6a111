"""A folder or archive beside the set cannot be looked into.

What it checks
    Whether every folder and archive beside the set could be looked into.
Why it matters
    Another set may lie there, and nothing of it was read.
Example
    An archive season.zip beside the set whose end is missing.
How to fix
    Copy it again, or take it off the stick where it holds nothing that counts.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.not-looked-into",
    severity=Severity.WARNING,
    message="{found} could not be looked into ({reason}); a set in it was not read.",
    remedy="Copy it again from its source where a set may lie in it.",
    clause="8.5",
)
