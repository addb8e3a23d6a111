"""The encoding that a file declares is not the one it is written in.

What it checks
    Whether every unusual letter of a file that declares another encoding than UTF-8 is well-formed UTF-8 all the same.
Why it matters
    By the declaration each such letter is read as two or three wrong ones, and a program that writes the set again
    keeps them so for good.
Example
    Bad: encoding="ISO-8859-1" in front of UTF-8: a field called Süd is read as SÃ¼d.
    Good: encoding="UTF-8".
How to fix
    Check the names. Where they are wrong, correct the declaration and leave the rest of the file as it is.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.isoxml.tree.mojibake import find_mojibake

RULE = Rule(
    id="file.misread-letters",
    severity=Severity.WARNING,
    message="{file} declares {encoding} but seems to be UTF-8: '{text}' probably means '{expected}'.",
    remedy="Check the names; [[clean(review)]] corrects the declaration, and with it the letters.",
    clause="8.1, 8.5",
    covers=("R-004", "R-005"),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each XML file whose letters are UTF-8 under another declaration."""
    for file in subject.xml_files:
        texts = find_mojibake(file)
        if texts is not None:
            text, meant = texts
            place = Place(file=file.name, line=1)
            yield RULE.at(place, file=file.name, encoding=file.encoding, text=text, expected=meant)
