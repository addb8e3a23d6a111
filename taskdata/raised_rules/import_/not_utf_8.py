"""A GeoJSON file is not UTF-8.

What it checks
    That a GeoJSON file is UTF-8.
Why it matters
    Other programs refuse the file. Where it does not say by a mark what it is in, its letters were guessed: those with
    accents may be wrong.
Example
    A file that an older program wrote in windows-1252, with umlauts in its names.
How to fix
    Check the names, and save the file again as UTF-8; converting it does so.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.not-utf-8",
    severity=Severity.WARNING,
    message="{layer} is not UTF-8; it was read as {encoding}{sureness}.",
    remedy="Check the names; save the file as UTF-8.",
    clause="RFC 7946 section 11, RFC 8259 section 8.1",
)
