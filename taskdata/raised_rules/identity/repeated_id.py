"""An identifier occurs twice in one file.

What it checks
    That no identifier occurs twice within one file. Names of binary and external files share the space of identifiers:
    a task must not be called like a file. A clash of an identifier with a file name is a warning.
Why it matters
    A reference cannot tell which of the two is meant: work may be booked on, or a rate taken from, the wrong one.
Example
    Two partfields with A="PFD1".
How to fix
    Renumber one of the two, and look through every reference to the old number.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="identity.repeated-id",
    severity=Severity.ERROR,
    message="'{value}' in {attribute} is already used in {first_attribute} on line {first_line} of the same file.",
    remedy="Give one of the two a new identifier, and correct the references to it.",
    clause="8.4",
    covers=("R-006", "R-013", "R-014", "R-035", "R-037", "R-069", "R-072", "R-209"),
)
