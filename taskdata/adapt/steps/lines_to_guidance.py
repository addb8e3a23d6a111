"""Lines of type 5 become guidance patterns."""

from __future__ import annotations

from itertools import groupby

import numpy as np

from taskdata.adapt.adaptation import Adaptation, label
from taskdata.adapt.points import put_types
from taskdata.isoxml.to_model.fields import PatternType
from taskdata.isoxml.tree.element import Element, Node
from taskdata.model.shapes import LineKind, PointKind
from taskdata.phrases import phrase


def lines_to_guidance(work: Adaptation) -> None:
    """Make patterns of the lines of type 5 of a field, one group for those that stand side by side (R-267).

    Two points are A and B, more are a curve. Name, width and colour stay, an identifier goes; a missing width is told.
    A line whose ends are one place, that has fewer than two points, or points that cannot be read, stays a line.
    """
    for field in work.tagged("PFD"):
        children: list[Node] = []
        for leads, nodes in groupby(field.children, key=_leads):
            if leads:
                children.append(_group(work, field, [node for node in nodes if isinstance(node, Element)]))
            else:
                children += nodes
        field.children = children


def _group(work: Adaptation, field: Element, strings: list[Element]) -> Element:
    group = Element("GGP", parent=field)
    work.identify(group)
    for string in strings:
        pattern = _pattern(work, string)
        group.append(pattern)
        if not string.get("LineStringWidth"):
            work.alter(
                pattern,
                phrase("{pattern} has no swath width", pattern=label(pattern)),
                phrase("its line has none; set it on the display"),
            )
    why = phrase("version {target} keeps guidance in groups of patterns", target=work.target)
    kind = phrase("of type {code:d}", code=LineKind.GUIDANCE)
    told = (
        phrase("1 line {kind} becomes", kind=kind)
        if len(strings) == 1
        else phrase("{count} lines {kind} become", count=len(strings), kind=kind)
    )
    work.alter(field, phrase("{told} the guidance group {id}", told=told, id=group.id), why)
    return group


def _pattern(work: Adaptation, string: Element) -> Element:
    count = len(string.coordinates())
    pattern = Element("GPN")
    pattern.set("GuidancePatternDesignator", string.get("LineStringDesignator"))
    pattern.set("GuidancePatternType", str(int(PatternType.AB if count == 2 else PatternType.CURVE)))
    work.identify(pattern)
    wanted = [PointKind.GUIDANCE_A, *[PointKind.GUIDANCE_POINT] * (count - 2), PointKind.GUIDANCE_B]
    put_types(string, [str(int(kind)) for kind in wanted])
    work.drop_attribute(string, "LineStringId", phrase("the line of a pattern has none (ISO 11783-10, D.33)"))
    pattern.append(string)
    return pattern


def _leads(node: Node) -> bool:
    """Tell whether a child is a guidance line that leads somewhere."""
    if not isinstance(node, Element) or node.tag != "LSG":
        return False
    if node.get("LineStringType") != str(int(LineKind.GUIDANCE)):
        return False
    points = node.coordinates()
    if len(points) < 2 or not np.isfinite(points).all():
        return False
    return len(points) > 2 or bool((points[0] != points[1]).any())
