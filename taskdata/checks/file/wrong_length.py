"""A file is longer or shorter than the set says.

What it checks
    That the length stated for a grid, a binary file of a time log, a binary point file or an attachment is the size
    of the file in bytes.
Why it matters
    A shorter file was cut off on the way; a longer one belongs to something else or was written twice.
Example
    Bad: <GRD ... G="GRD00001" H="1200" .../> and a GRD00001.BIN of 900 bytes.
    Good: H is the size of the file.
How to fix
    Copy the file again. If it is whole, the stated length is stale: writing the set anew corrects it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.element import Element
from taskdata.isoxml.facts import elements
from taskdata.isoxml.filenames import FILE_SUFFIXES

RULE = Rule(
    id="file.wrong-length",
    severity=Severity.WARNING,
    message="{file} has {size} bytes, but {element} says {stated}.",
    remedy="Copy the file again; if it is whole, write the set anew, which corrects the length.",
    clause="D.3, D.27, D.38, D.49",
    covers=("R-017",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each file whose size differs from the one stated."""
    for named in subject.named_files:
        stated = _stated(named.element)
        if named.found is None or stated is None or not named.name.endswith(FILE_SUFFIXES[named.element.tag][-1]):
            continue
        if named.found.size != stated:
            place = subject.place(named.element)
            name, owner = named.found.name, place.element or named.element.tag
            yield RULE.at(place, file=name, size=named.found.size, stated=stated, element=owner)


def _stated(element: Element) -> int | None:
    """Return the length that an element states for its file, None where it is absent or no number."""
    letters = elements()[element.tag].letters
    letter = letters.get("Filelength") or letters.get("FileLength")
    text = element.attributes.get(letter, "").strip() if letter else ""
    return int(text) if text.isascii() and text.isdigit() else None
