"""A machine states a delay of what it logs, and whether it counts forward or back is assumed.

What it checks
    That the delay of logged values (DDI 143) has a known sign, given by the user.
Why it matters
    With the wrong sign, everything worked is shifted along the track by twice the delay times the speed.
Example
    A sprayer that states 800 ms: 2 m at 9 km/h, forward or back.
How to fix
    Drive over a known edge and see where the log switches; then give --delay 0.8 or --delay -0.8.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.assumed-delay",
    severity=Severity.WARNING,
    message="{name} states a delay of {seconds} s for what it logs in {file}; it is applied after the record, though "
    "the dictionary does not say in which direction.",
    remedy="Give the delay with its sign with [[delay_s]], and compare where sections switch on the ground.",
)
