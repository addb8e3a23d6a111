"""The binary file of a time log is padded after its last record.

What it checks
    Whether the rest after the last record consists of nothing but 00 or nothing but FF bytes, however long it is.
Why it matters
    A reader that does not expect the padding takes it for records of 1980 without a place, or refuses the file.
Example
    A storage card filled the last block of the file with FF bytes; a terminal reserved room that stayed empty.
How to fix
    Write the set again: the padding is left out when the log is written without it.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="timelog.trailing-bytes",
    severity=Severity.ERROR,
    message="Padding follows the last record: {octets} bytes.",
    remedy="Write the set again, which removes it; all {records} records are complete.",
    clause="8.6.3",
    covers=("R-200",),
)
