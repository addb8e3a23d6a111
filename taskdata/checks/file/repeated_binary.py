"""Two elements share one binary file.

What it checks
    That no two grids (GRD), no two time logs (TLG) and no two points with a binary point file (PNT) name the same
    file, over the whole set. Two grids or logs in one XML file are found by the check against the schema.
Why it matters
    Each file has one content. Shared by two tasks, one of them shows the map or the log of the other.
Example
    Bad: two tasks, each with <TLG A="TLG00001"/>.
    Good: TLG00001 in one, TLG00002 in the other.
How to fix
    Find out whose content it is and remove the element from the other, or give each its own file.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import file_name

RULE = Rule(
    id="file.repeated-binary",
    severity=Severity.ERROR,
    message="{element} names the file {file}, which {other} on line {other_line} of {other_file} already names.",
    remedy="Give each its own file, or remove the element that the content does not belong to.",
    clause="6.2, 6.8.1.1, D.27, D.38, D.49",
    covers=("R-013", "R-014", "R-015"),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element that names a file an earlier one of its kind has."""
    for tag in ("TLG", "GRD", "PNT"):
        named: dict[str, list[Element]] = {}
        for element in subject.tagged(tag):
            name = file_name(element)
            if name is None:
                continue
            others = named.setdefault(name.upper(), [])
            if others and (tag == "PNT" or all(other.file != element.file for other in others)):
                yield _repeated(subject, element, others[0], f"{name}.BIN")
            others.append(element)


def _repeated(subject: Subject, element: Element, other: Element, name: str) -> Finding:
    place = subject.place(element)
    return RULE.at(
        place,
        element=place.element or element.tag,
        file=name,
        other=other.nearest_id() or other.tag,
        other_line=other.line,
        other_file=other.file,
    )
