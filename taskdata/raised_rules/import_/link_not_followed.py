"""A file refers to others, which are not opened.

What it checks
    Whether a file of layers refers to other files or addresses for more of its content.
Why it matters
    Nothing is fetched from a network, and no other file is opened: what the link leads to is not in the result.
Example
    A KML file that only holds a link to the place from which its fields are fetched.
How to fix
    Open the link in a program that shows it, save what it holds, and read that file.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.link-not-followed",
    severity=Severity.WARNING,
    message="{file} refers to more content elsewhere, which is not opened: {what}.",
    remedy="Save what the link leads to as a file, and read that one.",
)
