"""A file is longer or shorter than the set says.

What it checks
    That the length stated for a grid, a binary file of a time log, a binary point file or an attachment is the size
    of the file in bytes. A shorter file is an error, a longer one a warning.
Why it matters
    A shorter file was cut off on the way; a longer one belongs to something else or was written twice.
Example
    Bad: <GRD ... G="GRD00001" H="1200" .../> and a GRD00001.BIN of 900 bytes.
    Good: H is the size of the file.
How to fix
    Copy the file again. Cleaning the set raises a length that is too small. One that is too large is never reduced: it
    is the evidence that the end of the file is missing.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.wrong-length",
    severity=Severity.WARNING,
    message="{file} has {size} bytes, but {element} says {stated}.",
    remedy="Copy the file again from the original; a file that is shorter than stated has lost its end.",
    clause="D.3, D.27, D.38, D.49",
    covers=("R-017",),
)
