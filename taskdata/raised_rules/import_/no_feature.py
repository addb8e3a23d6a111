"""A member of "features" is no Feature.

What it checks
    That every member of "features" is a Feature.
Why it matters
    Other members are not in the result.
Example
    null among the features, or a second collection within the first.
How to fix
    Save the file again; wrap a bare geometry in a Feature.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.no-feature",
    severity=Severity.WARNING,
    message="Row {row} of {layer} is left out: it is {what}, not a Feature.",
    remedy="Save the file again in the program it comes from.",
    clause="RFC 7946 section 3.3",
)
