"""Guidance patterns as rules see them: their kind, and the types of their points in order."""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.geometry._points import stored
from taskdata.checks.subject import Subject
from taskdata.isoxml.facts import letter
from taskdata.isoxml.to_model.fields import PatternType
from taskdata.isoxml.tree.element import POINT, Element, PointRun

TYPE = "PointType"


def kind_of(pattern: Element) -> PatternType | None:
    """Return the type of a pattern (GPN), None where it is none that the standard lists."""
    code = integer(pattern, "GuidancePatternType")
    return None if code is None or code not in set(PatternType) else PatternType(code)


def point_types(subject: Subject, line: Element) -> list[int | None]:
    """Return the types of the points of a line string (LSG), None where one is no number."""
    return [_code(text) for text in _texts(subject, line)]


def _texts(subject: Subject, line: Element) -> Iterator[str]:
    key = letter(POINT, TYPE)
    for child in line.children:
        if isinstance(child, PointRun):
            yield from child.texts(key) if key in child.names else [""] * len(child)
        elif isinstance(child, Element) and child.tag == POINT:
            points = stored(subject, child)
            if points is None:
                yield child.attributes.get(key, "")
            elif any(field.name == TYPE for field in points.layout.fields):
                yield from map(str, points.column(TYPE).tolist())
            else:
                yield from [child.attributes.get(key, "")] * len(points)


def _code(text: str) -> int | None:
    text = text.strip()
    return int(text) if text.isascii() and text.isdigit() and len(text) < 5 else None
