"""Lines and rings as repairs change them: points are left out or repeated, never written anew, so texts stay."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from taskdata.geometry.loops import is_simple
from taskdata.isoxml.tree.element import POINT, Element, Node, PointRun


def in_xml(string: Element) -> bool:
    """Tell whether every point of a line stands in XML and has a place."""
    coordinates = string.coordinates()
    return len(coordinates) > 0 and bool(np.isfinite(coordinates).all())


def keep(string: Element, kept: NDArray[np.bool_]) -> None:
    """Leave out the points of a line where ``kept`` (n,) is False."""
    children: list[Node] = []
    position = 0
    for child in string.children:
        if isinstance(child, PointRun):
            here = kept[position : position + len(child)]
            if here.any():
                children.append(child if here.all() else child.only(here))
            position += len(child)
        elif isinstance(child, Element) and child.tag == POINT:
            if kept[position]:
                children.append(child)
            position += 1
        else:
            children.append(child)
    string.children = children


def close(string: Element) -> None:
    """Repeat the first point of a ring at its end."""
    for child in string.children:
        if isinstance(child, PointRun):
            string.children.append(PointRun(child.store, child.start, child.start + 1))
            return
        if isinstance(child, Element) and child.tag == POINT:
            string.append(Element(POINT, dict(child.attributes), file=child.file, line=child.line))
            return


def strings_below(element: Element) -> list[Element]:
    """Return the line strings at and below an element whose points all stand in XML."""
    return [item for item in element.walk() if item.tag == "LSG" and in_xml(item)]


def keep_ring(string: Element, kept: NDArray[np.bool_]) -> bool:
    """Leave out points of a ring, closed again where it was closed; False where no sound ring would be left."""
    points = string.coordinates()
    was_closed = bool((points[0] == points[-1]).all())
    left = points[kept]
    if len(left) < 3 or not is_simple(left):
        return False
    keep(string, kept)
    if was_closed and (left[0] != left[-1]).any():
        close(string)
    return True
