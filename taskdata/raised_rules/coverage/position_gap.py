"""Positions are missing while sections work.

What it checks
    That positions go on while sections work.
Why it matters
    Where the machine went during a break is not known, and a straight line would invent worked area.
Example
    42 s without a fix beside a wood.
How to fix
    Look at the missed spots there before you work them again.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.position-gap",
    severity=Severity.WARNING,
    message="Log {file} lacks positions while working ({count} x, {seconds} s in all); about {area} m² is missing.",
    remedy="Treat missed spots there as unknown.",
)
