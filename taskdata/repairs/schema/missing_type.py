"""State the types of polygons, line strings, points and grids that the rest of the set decides.

Why it is safe: a type is stated only where there is one that it can be, and the set is read so without it too. What
could be two things is left.
"""

from __future__ import annotations

from taskdata.isoxml.tree.document import LINE_STRING
from taskdata.isoxml.tree.element import POINT, Element, PointRun
from taskdata.isoxml.tree.implied import PATTERN, TYPES, implied_type
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("schema.missing-attribute",)
STANDING = Standing.SAFE
NEEDS = ("schema.misplaced-element",)

_AB = "1"
_ENDS = ("6", "7")
"""Types of the points A and B of a guidance pattern (ISO 11783-10 D.38)."""


def repair(work: RepairWork) -> None:
    """State each type that can be one only."""
    for tag, name in TYPES.items():
        for element in work.tagged(tag):
            kind = implied_type(work.document, element)
            if kind is not None:
                work.note(RULES[0], element, None, kind, phrase("it can have no other {name}", name=name))
                element.set(name, kind)
    for pattern in work.tagged(PATTERN):
        lines = list(pattern.elements(LINE_STRING))
        if pattern.get("GuidancePatternType") == _AB and len(lines) == 1:
            _name_ends(work, lines[0])


def _name_ends(work: RepairWork, line: Element) -> None:
    """State the types of the points A and B of a line that has these two points and no types."""
    rows = [row for child in line.children for row in _rows(child)]
    if len(rows) != len(_ENDS) or any(row.get("A") for row in rows):
        return
    line.children = [child for child in line.children if not isinstance(child, PointRun) and not _is_point(child)]
    for row, kind in zip(rows, _ENDS, strict=True):
        line.append(
            Element(POINT, {"A": kind} | {key: text for key, text in row.items() if key != "A"}, file=line.file)
        )
    work.note(RULES[0], line, None, ", ".join(_ENDS), phrase("the points of an A-B line are A and B"))
    work.touch()


def _is_point(child: object) -> bool:
    return isinstance(child, Element) and child.tag == POINT


def _rows(child: object) -> list[dict[str, str]]:
    if isinstance(child, PointRun):
        return list(child.rows())
    return [dict(child.attributes)] if isinstance(child, Element) and child.tag == POINT else []
