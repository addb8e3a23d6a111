"""An object of a GeoJSON file has two members of one name.

What it checks
    That no object of a GeoJSON file has two members of one name.
Why it matters
    Only the last of them was taken; another program may take the first. What they said besides is not in the result.
Example
    {"name": "Breite", "name": "Kuhle"}
How to fix
    Check which value is right, and remove the other.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.name-twice",
    severity=Severity.WARNING,
    message="{what} of {layer} has the member {name} more than once; only the last one was read.",
    remedy="Check which one is right, and remove the other.",
    clause="RFC 8259 section 4",
)
