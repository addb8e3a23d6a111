"""A value in a layer of this program cannot be read back.

What it checks
    That every value of the layers this program writes can be read back.
Why it matters
    The value is not in the result.
Example
    A new row in the layer of areas without a geometry.
How to fix
    Correct the value in the layer; the published table of columns says what each one takes.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.value-left-out",
    severity=Severity.WARNING,
    message="{what} is left out: {reason}.",
    remedy="Correct it in the layer and convert again.",
)
