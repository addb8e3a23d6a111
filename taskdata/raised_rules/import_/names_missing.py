"""Fields of a layer have no name.

What it checks
    Whether rows of a layer of fields that another program wrote have no name, though others have.
Why it matters
    They are named after their layer and counted.
Example
    A layer of 40 fields, three of which were never named.
How to fix
    Name them in the layer, or rename them in the result.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.names-missing",
    severity=Severity.NOTE,
    message="Fields without a name in {layer}: {count} of {total}. They are named after the layer and numbered.",
    remedy="Name them in the layer, or in the result.",
)
