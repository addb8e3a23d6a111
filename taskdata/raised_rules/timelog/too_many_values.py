"""The header lists more values than the records can name.

What it checks
    That a header has at most 255 DLV elements, because a record names a value by one byte.
Why it matters
    Values beyond the limit cannot be stored and are missing in every record.
Example
    A wide machine with a DLV for each of its 300 sections.
How to fix
    Use condensed states for sections, or spread the values over several logs.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="timelog.too-many-values",
    severity=Severity.ERROR,
    message="The header lists {count} values, but a log can hold only 255.",
    remedy="Split the log; values beyond position 254 can never be stored.",
    clause="8.6.3",
    covers=("R-198",),
)
