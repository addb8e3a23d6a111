"""An XML file does not say what it is.

What it checks
    That every XML file of the set begins with an XML declaration, and that the declaration names an encoding.
Why it matters
    A receiver has to guess the encoding; names with unusual letters may be shown wrongly or the file be refused.
Example
    Bad: a file that begins with <ISO11783_TaskData ...>.
    Good: <?xml version="1.0" encoding="UTF-8"?> in front of it.
How to fix
    Add the declaration as first line, or write the set again, which adds it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Place, Rule, Severity

RULE = Rule(
    id="file.no-declaration",
    severity=Severity.ERROR,
    message="{file} has no XML declaration that names its encoding.",
    remedy='Add <?xml version="1.0" encoding="UTF-8"?> as its first line, or write the set again.',
    clause="8.5",
    covers=("R-004", "R-206"),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each XML file without declaration or without encoding in it."""
    for file in subject.xml_files:
        if not file.declared or file.encoding is None:
            yield RULE.at(Place(file=file.name, line=1), file=file.name)
