"""The header of a time log does not describe its records.

What it checks
    That the XML file beside the binary file of a log holds a TIM, which says what each record holds.
Why it matters
    Records are bare numbers: without the header none of them can be read.
Example
    TLG00001.XML holds an empty element of another kind.
How to fix
    Copy the header again, or take that of another log of the same terminal and machine, if you are sure it fits.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="timelog.no-header",
    severity=Severity.ERROR,
    message="{other} does not say what the records of {file} hold.",
    remedy="Copy the header again from the terminal; the records cannot be read without it.",
    clause="8.6.3",
)
