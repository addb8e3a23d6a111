"""The records of a log without values lack the byte that counts the values.

What it checks
    That every record holds the byte that counts its values (then 0), even when the header lists no DLV. If the file
    makes no sense with it but consists of whole records without it, it is read without, and this is reported.
Why it matters
    The standard lists the count unconditionally (judged: also without any DLV). A program that follows it reads such a
    log shifted by one byte per record.
Example
    A header with time and position only; the file holds 14 bytes a record instead of 15.
How to fix
    Write the set again with a count byte, or ask the manufacturer of the terminal for a corrected version.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="timelog.no-count-octet",
    severity=Severity.WARNING,
    message="The header lists no values, and the records hold no count of values.",
    remedy="Read as {records} records of {length} bytes without a count; other programs may refuse this log.",
    clause="8.6.3",
)
