"""A stated length is not that of the line.

What it checks
    That the length which a line or ring states (LSG.D) is that of its points on the ellipsoid. A length of 0 is taken
    for unknown, and so is that of a circle stored as its centre. A ring counts with its closing edge.
Why it matters
    Time and material are planned by it. Where both differ much, the points may be those of another line, or half of
    them are missing.
Example
    Bad: D="60000" of a line of 30 m.
    Good: D="30007", in millimetres.
How to fix
    Use the length of the points, or find out which of the two is outdated; leave it out if it is not known.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks._ground import on_earth, spot
from taskdata.checks.coding._reading import integer
from taskdata.checks.geometry._points import Courses
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.geometry.geodesy import line_length, ring_perimeter
from taskdata.isoxml.to_model.fields import PatternType
from taskdata.isoxml.tree.element import Element

SHARE = Tolerance("geometry.wrong-length.share", 5.0, "%", "Difference from which it is a note")
WARNING_SHARE = Tolerance("geometry.wrong-length.warning-share", 25.0, "%", "Difference from which it is a warning")
LEAST = Tolerance("geometry.wrong-length.least", 2.0, "m", "Smallest difference that counts")
RULE = Rule(
    id="geometry.wrong-length",
    severity=Severity.NOTE,
    message="A line of {element} states {stated} m, but its points make {found} m.",
    remedy="Use the length of the points, or find out which of the two is outdated; it is in millimetres.",
    clause="D.33",
    tolerances=(SHARE, WARNING_SHARE, LEAST),
)
MILLIMETRES = 1000.0


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such line, at its first point."""
    courses = Courses(subject)
    for string in subject.tagged("LSG"):
        if "D" not in string.attributes or _is_circle(string):
            continue
        stated = (integer(string, "LineStringLength") or 0) / MILLIMETRES
        points = courses.of(string)
        if stated <= 0.0 or len(points) < 2 or not on_earth(points).all():
            continue
        in_polygon = string.parent is not None and string.parent.tag == "PLN"
        found = ring_perimeter(points) if in_polygon else line_length(points)
        differ = abs(stated - found)
        share = 100.0 * differ / max(found, subject.profile[LEAST])
        if differ > subject.profile[LEAST] and share > subject.profile[SHARE]:
            severity = Severity.WARNING if share > subject.profile[WARNING_SHARE] else Severity.NOTE
            place = spot(subject.place(string), points[0])
            facts = {"stated": round(stated, 1), "found": round(found, 1)}
            yield RULE.at(place, severity=severity, element=place.element or string.tag, **facts)


def _is_circle(string: Element) -> bool:
    """Tell whether a line is the centre of a circle, alone or with places on it."""
    pattern = string.parent
    return pattern is not None and pattern.tag == "GPN" and integer(pattern, "GuidancePatternType") == PatternType.PIVOT
