"""Sentences of a position log are broken.

What it checks
    That each sentence of an NMEA 0183 log is whole and matches its checksum.
Why it matters
    A broken sentence may hold a wrong position. It is left out, so that a moment may be missing from the track.
Example
    A cable that lost characters, or two programs that wrote into one file.
How to fix
    Copy the file again from the original. Where the receiver wrote it so, look for gaps in the track.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.broken-sentences",
    severity=Severity.WARNING,
    message="{file} has broken sentences, which are left out: {count}. The first: {reason}.",
    remedy="Copy the file again from the original, and look for gaps in the track.",
)
