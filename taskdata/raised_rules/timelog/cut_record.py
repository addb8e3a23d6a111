"""The binary file of a time log ends in the middle of a record.

What it checks
    That nothing follows the last whole record. Bytes that begin a further record but do not complete it are
    reported; all records before them are kept.
Why it matters
    A cut file is the sign of a broken copy, a card pulled out too early or a terminal switched off while writing.
    Records may be missing, so totals computed from the log can be too low.
Example
    A log with 24 bytes a record has 2410 bytes: 100 whole records and 10 bytes of the next.
How to fix
    Copy the file again from the terminal. Where that is impossible, write the set again: the whole records are kept.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="timelog.cut-record",
    severity=Severity.ERROR,
    message="The last record is cut: record {record} ends after byte {octets}.",
    remedy="Copy the file again from the terminal; the {records} complete records before it can be used.",
    clause="8.6.3",
    covers=("R-200",),
)
