"""The name of a file contains a path.

What it checks
    That names of files in the set are plain names.
Why it matters
    A set is one flat folder. A path could lead to files that are none of its business.
Example
    Filename "../other/TLG00001".
How to fix
    Move the file into the folder of the set and give its name alone.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.path-in-reference",
    severity=Severity.ERROR,
    message="{element} names the file {wanted}, which contains a path; the path was not followed.",
    remedy="Put the file beside the main file and name it without a path.",
    clause="8.1",
    covers=("R-003",),
)
