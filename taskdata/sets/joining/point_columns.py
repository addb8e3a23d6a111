"""The points in an element as columns, however they are kept."""

from __future__ import annotations

from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.element import POINT, Element, OtherNode, PointRun

_IDENTIFIER = elements()[POINT].id_letter
_ABSENT = "\3"


def point_columns(element: Element) -> dict[str, list[str]]:
    """Return what the plain points in an element say, by letter, identifiers apart; absent texts are a control code.

    One ring may be kept as one run, as several, or with some points by themselves, according to comments in the file
    and to what was done with it since it was read.
    """
    columns: dict[str, list[str]] = {}
    count = 0
    for child in element.children:
        if isinstance(child, PointRun):
            said, more = {name: child.texts(name) for name in child.names}, len(child)
        elif isinstance(child, Element) and is_plain_point(child):
            said, more = {name: [text] for name, text in child.attributes.items()}, 1
        else:
            continue
        for name in {*columns, *said} - {_IDENTIFIER}:
            columns.setdefault(name, [_ABSENT] * count).extend(said.get(name) or [_ABSENT] * more)
        count += more
    return columns


def is_plain_point(element: Element) -> bool:
    """Tell whether an element is a point that holds nothing else and names no file."""
    if element.tag != POINT or element.get("Filename"):
        return False
    return all(isinstance(child, OtherNode) and child.kind != "text" for child in element.children)
