"""The set does not lie in a folder TASKDATA at the root.

What it checks
    Whether the set lies deeper than the root of what was named. The only set at any depth is read, also in an archive.
Why it matters
    A terminal does not find it there. A set in a folder of copies may be an old one.
Example
    stick/2024/TASKDATA/TASKDATA.XML, or stick/export.zip with the set in it.
How to fix
    Move the folder TASKDATA to the root of the stick, or leave it as it is where the set stays in the office.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.set-in-subfolder",
    severity=Severity.NOTE,
    message="The set was found in {found}; a terminal looks for a folder TASKDATA at the root of the stick.",
    remedy="Make sure that it is the right set; move it to the root before the stick goes to a machine.",
    clause="8.5",
    covers=("R-002",),
)
