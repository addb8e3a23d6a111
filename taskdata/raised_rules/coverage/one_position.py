"""All positions of a log are of one place.

What it checks
    That a log has more than one position.
Why it matters
    An implement that does not move covers nothing and has no heading.
Example
    A log of one record.
How to fix
    Check whether the log broke off.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.one-position",
    severity=Severity.WARNING,
    message="Log {file} has only one position, so it covers no area.",
    remedy="Check whether the log broke off.",
)
