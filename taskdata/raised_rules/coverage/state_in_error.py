"""A log has records with a work state in error.

What it checks
    That no work state is in error (2).
Why it matters
    What a section did at that time is not known.
Example
    A section valve whose feedback is broken.
How to fix
    Check the sections of the machine.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.state-in-error",
    severity=Severity.WARNING,
    message="Log {file} has {count} records with a work state in error, which count as off.",
    remedy="Check the sections of the machine.",
)
