"""Names that are spelt differently are taken as one.

What it checks
    Whether customers, farms, crops or varieties that layers name differ in case and blanks alone.
Why it matters
    They become one customer, farm, crop or variety, under the first spelling.
Example
    The column of farms says "Lindhollen" in most rows and "LINDHOLLEN" in some.
How to fix
    Nothing, if they are the same; else write them differently in the layer.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.spellings-joined",
    severity=Severity.NOTE,
    message="The {what} {name} is also written {others}; it is one {what}.",
    remedy="If they are different, write their names differently in the layer.",
)
