"""A value that the header fixes for all records is not of its type.

What it checks
    That an attribute with a value in the header holds for every record. It has to be a number, a date with time or a
    hexadecimal identifier, as its type demands.
Why it matters
    The value would be applied to all records of the log, so it is left out rather than guessed.
Example
    A PTN whose height reads "12 m".
How to fix
    Correct the header.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="timelog.bad-constant",
    severity=Severity.ERROR,
    message="{name} of {tag} is fixed for all records, but its value {text} cannot be read.",
    remedy="Correct the value in the header; until then the log is read without it.",
    clause="8.6.3",
    covers=("R-194",),
)
