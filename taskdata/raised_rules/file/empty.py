"""A binary file of a log or of points holds nothing.

What it checks
    That the binary file of a time log (TLG) and a binary point file (PNT) hold at least one byte. Of a task that is
    planned, or a template, an empty log is a note: nothing has been recorded yet.
Why it matters
    The work that was done, or the line that the points make up, is missing. A card that was pulled out too early
    leaves such files behind.
Example
    A completed task whose TLG00001.BIN has 0 bytes.
How to fix
    Copy the file again from the terminal. If it is empty there too, the records are lost.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.empty",
    severity=Severity.ERROR,
    message="{file}, {kind} of {element}, is empty.",
    remedy="Copy it again from the terminal; if it is empty there too, nothing was recorded.",
    clause="8.6.3, 8.6.4",
)
