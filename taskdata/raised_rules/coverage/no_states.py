"""A log holds no work states of what works.

What it checks
    That a log holds work states (DDI 141 or 161 to 176) of what works.
Why it matters
    Without them it is not known when the implement was lifted or switched off.
Example
    A track of positions alone.
How to fix
    Log the work state, or remove turns from the track.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.no-states",
    severity=Severity.NOTE,
    message="Log {file} holds no work states; counted as work: {what}.",
    remedy="Turns and transport count as work unless the machine logged that it was off.",
)
