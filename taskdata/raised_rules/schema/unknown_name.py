"""An element or attribute has a name that its version does not know.

What it checks
    That every element and attribute has a name of the standard in the version of the file, or a proprietary name: P,
    the decimal manufacturer code and an underscore. Names are case-sensitive. Content of other namespaces is ignored.
Why it matters
    Only names of the agreed forms may be ignored by a receiver; any other makes the file invalid.
Example
    <pfd/> instead of <PFD/>; GGP in a file of version 3, where guidance groups came with version 4.
How to fix
    Write the name as the standard does, give an extension of your own a proprietary name, or leave the content out.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="schema.unknown-name",
    severity=Severity.ERROR,
    message="The {what} '{name}' in {element} is not allowed: {reason}.",
    remedy="Correct the name, remove it, or write the file in a version that has it.",
    clause="8.4.1, Annex D",
    covers=("R-006", "R-008", "R-020", "R-049", "R-206"),
)
