"""The header declares a field that binary records cannot hold.

What it checks
    That only the start time, the attributes of the position and the values are written empty in a header, which
    means "stored in every record".
Why it matters
    Programs may count the field into the length of a record and then read everything after it wrongly.
Example
    A header whose TIM has an empty Stop.
How to fix
    Remove the attribute from the header, or give it its value.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="timelog.field-cannot-be-stored",
    severity=Severity.ERROR,
    message="{name} of {tag} is empty in the header, but a binary record cannot hold it.",
    remedy="Give it a value or leave it out.",
    clause="8.6.3",
    covers=("R-195", "R-197"),
)
