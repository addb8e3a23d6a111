"""Another set lies beside the one that was read.

What it checks
    Whether folders and archives beside or below the set that was read hold further sets.
Why it matters
    Dated copies are easily taken for the set. Work that is only in them is not part of the result.
Example
    TASKDATA and TASKDATA_old on one stick.
How to fix
    Name the other one as a source too, or keep copies elsewhere.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.another-set",
    severity=Severity.NOTE,
    message="There is another set in {found}; it was not read.",
    remedy="If you need it, name it as a separate source; remove old copies from the stick.",
    clause="8.5",
)
