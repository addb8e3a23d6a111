"""A point that names a binary file has a latitude or longitude of its own.

What it checks
    That PointNorth and PointEast of a point (PNT) with a binary file are written empty: each stored point has its own.
    A point without such a file needs both; where they are missing, model.bad-coordinates or model.unreadable-object
    says so.
Why it matters
    A value with text holds for all points of the file and takes no room in it. A reader that expects two numbers a
    point reads the file shifted, and the boundary or line that comes out is nonsense.
Example
    Bad: <PNT A="2" C="54.3" D="" J="PNT00001"/>
    Good: <PNT A="2" C="" D="" J="PNT00001"/>
How to fix
    Find out what the records of the file hold, and leave those attributes empty.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.facts import letter
from taskdata.isoxml.tree.element import POINT
from taskdata.isoxml.tree.filenames import file_name

RULE = Rule(
    id="points.fixed-coordinate",
    severity=Severity.ERROR,
    message="{name} of the point that names {file} is not empty, so its points do not have their own.",
    remedy="Find out what the records of the file hold, and leave those attributes empty.",
    clause="D.38, 8.6.4",
    covers=("R-177",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such coordinate; one that is absent the schema reports."""
    for element in subject.tagged(POINT):
        file = file_name(element)
        for name in ("PointNorth", "PointEast") if file is not None else ():
            if element.attributes.get(letter(POINT, name)):
                yield RULE.at(subject.place(element), name=name, file=file)
