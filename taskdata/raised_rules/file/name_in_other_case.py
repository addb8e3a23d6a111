"""A file is not named in capitals, as the set names it.

What it checks
    That files are named as the set names them, in capitals.
Why it matters
    Names are case-sensitive: a strict receiver does not find tlg00001.bin.
Example
    taskdata.xml instead of TASKDATA.XML.
How to fix
    Rename the file. Names are matched in any case when reading, and written in capitals.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.name-in-other-case",
    severity=Severity.NOTE,
    message="The file is called {file}, but the set names {wanted}.",
    remedy="Rename it in capitals; converting the set does so.",
    clause="8.5",
    covers=("R-016", "R-002"),
)
