"""Zero bytes follow the end of an XML file.

What it checks
    Whether zero bytes follow the end of an XML file. A file that ends too early is reported by file.cut-off.
Why it matters
    XML does not allow zero bytes: a strict reader refuses the whole set, although nothing of it is missing.
Example
    A terminal reserved 64 KiB for TASKDATA.XML and filled what was left over with zeros.
How to fix
    Clean the set. Nothing of it changes.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.zeros-behind-end",
    severity=Severity.ERROR,
    message="{file} has zero bytes after its last element: {octets}. They were ignored.",
    remedy="Clean the set, which removes them. No XML parser accepts the file as it is.",
    clause="8.1",
    covers=("R-005",),
)
