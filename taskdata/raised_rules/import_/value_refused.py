"""A value in a row that was edited cannot be stored.

What it checks
    That every value which somebody typed into a row of the layers this program writes can be stored.
Why it matters
    It was meant to change the set. Left out, it would be missed; so nothing is written from the layers until it is
    corrected or removed.
Example
    A colour of 300 in the layer of areas, where the standard has room for 0 to 254.
How to fix
    Correct the value in its row; the published table of columns says what each one takes.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.value-refused",
    severity=Severity.ERROR,
    message="{column} of {what} is {value}, which cannot be stored: it should be {wanted}.",
    remedy="Correct it in the layer; until then nothing is written.",
)
