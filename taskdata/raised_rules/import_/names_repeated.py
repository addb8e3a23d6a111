"""Several fields of a layer have one name.

What it checks
    Whether rows of a layer of fields that another program wrote have the same name.
Why it matters
    On a terminal they cannot be told apart.
Example
    Two parts of a field, each in a row of its own, both called "Breite".
How to fix
    Name a column that tells them apart, or rename them.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.names-repeated",
    severity=Severity.NOTE,
    message="Fields of one name in {layer}: {names}.",
    remedy="If another column tells them apart, choose it with [[name_column]].",
)
