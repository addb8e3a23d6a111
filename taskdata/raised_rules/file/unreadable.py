"""A file of the set cannot be read.

What it checks
    That every XML file the set refers to can be parsed, and that the disk or the archive gives every file that it
    names: binary files and attachments too.
Why it matters
    A file that is cut off or damaged takes its fields, products, log headers or records with it.
Example
    PFD00001.XML ends in the middle of an element.
How to fix
    Copy the stick again, or let the machine or program that wrote the set write it once more.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.unreadable",
    severity=Severity.ERROR,
    message="{file} {what}.",
    remedy=(
        "Copy the file again from the original; until then everything in it is missing. [[rescue]] reads a cut or "
        "damaged XML file up to that place."
    ),
    clause="8.2-8.3",
    covers=("R-006",),
)
