"""A position log does not say the date.

What it checks
    That an RMC or ZDA sentence of an NMEA 0183 log says the date; the other sentences hold the time of day alone.
Why it matters
    Without a date the records get no time: speeds and working time cannot be computed, and nothing shows to which day
    the log belongs.
Example
    A log of GGA sentences alone.
How to fix
    Let the receiver write RMC or ZDA too.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.date-unknown",
    severity=Severity.WARNING,
    message="{file} does not say the date. Records without a time: {count}.",
    remedy="Let the receiver write RMC or ZDA sentences too.",
)
