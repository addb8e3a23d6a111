"""Only a part of a log can be read.

What it checks
    That the binary file of a log is complete.
Why it matters
    The area worked after the cut looks missed, so no missed area is given.
Example
    A TLG00001.BIN of which the stick kept the first half.
How to fix
    Copy the file again; until then treat the area outside the figures as unknown.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.log-in-part",
    severity=Severity.ERROR,
    message="Log {file} {reason}. The figures cover {start} to {end}; what else was done is unknown.",
    remedy="Copy the log again from the original before you work anything that looks missed.",
)
