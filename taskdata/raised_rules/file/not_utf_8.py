"""An XML file is not UTF-8.

What it checks
    That the bytes of every XML file decode as UTF-8.
Why it matters
    A strict reader refuses the file; a lax one shows wrong letters in names.
Example
    A name with an umlaut written in a one-byte encoding.
How to fix
    Write the file as UTF-8. The letters that were guessed need a look.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.not-utf-8",
    severity=Severity.ERROR,
    message="{file} is not UTF-8 from byte {at} on; it was read as {guess}, which is only a guess.",
    remedy="Write it again as UTF-8, or check every name with unusual letters.",
    clause="8.1",
    covers=("R-005",),
)
