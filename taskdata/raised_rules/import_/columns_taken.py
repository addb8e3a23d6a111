"""What columns of a layer of another program hold was concluded.

What it checks
    Whether columns besides the one with the names are taken over from a layer that another program wrote.
Why it matters
    Which column holds what is concluded from its name and its values, and its unit from its name.
Example
    A column GROWER gives the customers, a column W_CM the spacing of guidance lines in centimetres.
How to fix
    Nothing, if they are right; else say which column holds what with --column, such as --column width=W_M.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.columns-taken",
    severity=Severity.NOTE,
    message="Read from columns of {layer}: {columns}.",
    remedy="If a column holds something else, say which one it is with [[columns]].",
)
