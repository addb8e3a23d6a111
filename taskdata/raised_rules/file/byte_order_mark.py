"""An XML file begins with a byte order mark.

What it checks
    Whether an XML file begins with the bytes EF BB BF.
Why it matters
    The mark is allowed in XML, yet some readers fail on it.
Example
    A file saved by a text editor as UTF-8 with mark.
How to fix
    Save without the mark.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.byte-order-mark",
    severity=Severity.NOTE,
    message="{file} begins with a byte order mark.",
    remedy="Nothing to do, unless a receiver refuses the file: then remove the mark.",
    clause="8.1",
    covers=("R-005",),
)
