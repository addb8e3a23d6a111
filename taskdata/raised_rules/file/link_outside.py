"""A link in the folder leads out of it.

What it checks
    That no entry of the folder is a link to something elsewhere.
Why it matters
    A set is one flat folder. A link could lead to files that are none of its business.
Example
    PFD00001.XML is a link to a file in the home folder of somebody else.
How to fix
    Copy the file into the folder of the set in place of the link.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.link-outside",
    severity=Severity.WARNING,
    message="{file} is a link to somewhere outside the folder of the set; it was not followed.",
    remedy="Put the file itself into the folder, or remove the link.",
    clause="8.1",
)
