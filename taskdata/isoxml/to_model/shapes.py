"""Polygons, line strings and points (PLN, LSG, PNT) to areas, lines and points, binary point files included."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from taskdata.isoxml.binary.points import PointRecords, read_points
from taskdata.isoxml.facts import letter
from taskdata.isoxml.to_model.reading import Reading, Unreadable, needed_code, number
from taskdata.isoxml.tree.element import POINT, Element, PointRun
from taskdata.isoxml.tree.implied import implied_type, is_ring_of_points
from taskdata.isoxml.tree.notation import base_name
from taskdata.model.shapes import Area, AreaKind, Coordinates, Line, LineKind, Point, PointKind
from taskdata.phrases import phrase
from taskdata.raised_rules.model.bad_coordinates import RULE as BAD_COORDINATES
from taskdata.raised_rules.model.unknown_code import RULE as UNKNOWN_CODE

_POINT_BITS = 24
"""Room for the number of a point in its binary file, in the key that it is given."""


class RingKind(IntEnum):
    """Line string types that are rings of a polygon (ISO 11783-10 D.33)."""

    EXTERIOR = 1
    INTERIOR = 2


def area(reading: Reading, element: Element) -> Area:
    """Read a polygon (PLN).

    Raises
    ------
    Unreadable
        It has no outer ring with coordinates.
    """
    rings = reading.each(element.elements("LSG"), _ring)
    if is_ring_of_points(element):
        rings = ((RingKind.EXTERIOR, course(reading, element)),)
    exteriors = tuple(points for kind, points in rings if kind is RingKind.EXTERIOR)
    if not exteriors:
        raise Unreadable(phrase("it has no readable outer ring"))
    implied = implied_type(reading.document, element)
    return Area(
        kind=AreaKind(int(implied)) if implied else reading.code(element, "PolygonType", AreaKind, AreaKind.OTHER),
        exteriors=exteriors,
        interiors=tuple(points for kind, points in rings if kind is RingKind.INTERIOR),
        name=element.get("PolygonDesignator"),
        id=element.id,
        declared_area_m2=reading.integer(element, "PolygonArea"),
        colour=reading.integer(element, "PolygonColour"),
        key=reading.key(element),
        place=reading.place(element),
    )


def line(reading: Reading, element: Element) -> Line:
    """Read a line string (LSG) that is no ring.

    Raises
    ------
    Unreadable
        It has no point with coordinates.
    """
    return Line(
        kind=reading.code(element, "LineStringType", LineKind, LineKind.FLAG),
        points=course(reading, element),
        name=element.get("LineStringDesignator"),
        id=element.id,
        width_m=reading.metres(element, "LineStringWidth"),
        colour=reading.integer(element, "LineStringColour"),
        key=reading.key(element),
        place=reading.place(element),
    )


def points(reading: Reading, element: Element) -> tuple[Point, ...]:
    """Read a point (PNT) that stands by itself: one, or all of its binary file.

    Points of a binary file have no element of their own; each has a negative key that no element has. Their type,
    height and colour stand in the file where the element leaves them empty.

    Raises
    ------
    Unreadable
        There is no position.
    """
    records = None if element.get("Filename") is None else _records(reading, element)
    found = _coordinates(reading, [element]) if records is None else _stored(records)
    places = _kept(reading, element, found)
    kept = np.flatnonzero(np.isfinite(found).all(axis=1))
    heights = _column(records, kept, "PointUp")
    colours = _column(records, kept, "PointColour")
    up, colour = reading.metres(element, "PointUp"), reading.integer(element, "PointColour")
    kinds = _kinds(reading, element, _column(records, kept, "PointType"), len(kept))
    return tuple(
        Point(
            kind=kinds[position],
            lon=lon,
            lat=lat,
            name=element.get("PointDesignator"),
            id=element.id,
            up_m=up if heights is None else _metres(heights[position]),
            colour=colour if colours is None else colours[position],
            key=_point_key(reading, element, position),
            place=reading.place(element),
        )
        for position, (lon, lat) in enumerate(places.tolist())
    )


def course(reading: Reading, element: Element) -> Coordinates:
    """Return the points of a line string (LSG), float64 (n, 2); unreadable ones are left out with a finding.

    Raises
    ------
    Unreadable
        No point is left.
    """
    nodes = [child for child in element.children if isinstance(child, PointRun) or _is_point(child)]
    return _kept(reading, element, _coordinates(reading, nodes))


def _ring(reading: Reading, element: Element) -> tuple[RingKind, Coordinates]:
    implied = implied_type(reading.document, element)
    kind = RingKind(int(implied)) if implied else needed_code(element, "LineStringType", RingKind)
    return kind, course(reading, element)


def _kept(reading: Reading, element: Element, found: Coordinates) -> Coordinates:
    """Leave out points without a position, and say so."""
    if len(found) and np.isfinite(found).all():
        return found
    readable = np.isfinite(found).all(axis=1)
    if not readable.any():
        raise Unreadable(phrase("it has no readable point"))
    count = int(len(found) - readable.sum())
    reading.note(BAD_COORDINATES, element, count=count, total=len(found))
    return np.asarray(found[readable])


def _point_key(reading: Reading, element: Element, position: int) -> int | None:
    key = reading.key(element)
    return key if key is None or element.get("Filename") is None else -1 - (key << _POINT_BITS | position)


def _is_point(node: object) -> bool:
    return isinstance(node, Element) and node.tag == POINT


def _coordinates(reading: Reading, nodes: Sequence[object]) -> Coordinates:
    """Return longitude and latitude of runs and points in order, NaN where there is no number."""
    if len(nodes) == 1 and isinstance(nodes[0], PointRun):
        return nodes[0].positions()
    parts: list[Coordinates] = []
    singles: list[Element] = []
    for node in nodes:
        if isinstance(node, Element) and node.get("Filename") is None:
            singles.append(node)
            continue
        parts += _of_singles(singles)
        singles = []
        if isinstance(node, PointRun):
            parts.append(node.positions())
        elif isinstance(node, Element):
            parts.append(_stored(_records(reading, node)))
    parts += _of_singles(singles)
    return np.concatenate(parts) if parts else np.empty((0, 2))


def _of_singles(elements: list[Element]) -> Iterator[Coordinates]:
    """Yield the coordinates of points that are elements, all at once."""
    if elements:
        east, north = letter(POINT, "PointEast"), letter(POINT, "PointNorth")
        yield np.array([[number(element, name) for name in (east, north)] for element in elements])


def _records(reading: Reading, element: Element) -> PointRecords | None:
    """Return the points of the binary file that a point names, None where the file cannot be read."""
    return read_points(reading.document.binary(base_name(element["Filename"])), element.attributes)


def _stored(records: PointRecords | None) -> Coordinates:
    """Return the coordinates of a binary file, none where it cannot be read."""
    if records is None:
        return np.empty((0, 2))
    return np.column_stack([records.longitude(), records.latitude()])


def _column(records: PointRecords | None, kept: NDArray[np.intp], name: str) -> list[int | None] | None:
    """Return a field of those points of a binary file that are kept, None where its records do not store it."""
    if records is None or name not in {field.name for field in records.layout.fields}:
        return None
    values, missing = records.column(name)[kept].tolist(), records.missing(name)[kept].tolist()
    return [None if absent else value for value, absent in zip(values, missing, strict=True)]


def _metres(millimetres: int | None) -> float | None:
    return None if millimetres is None else millimetres / 1000


def _kinds(reading: Reading, element: Element, codes: list[int | None] | None, count: int) -> list[PointKind]:
    """Return the type of each point: that of the element, or its own from the binary file."""
    if codes is None:
        return [reading.code(element, "PointType", PointKind, PointKind.OTHER)] * count
    strange = sorted({code for code in codes if code is not None} - set(PointKind))
    if strange:
        text = ", ".join(map(str, strange))
        reading.note(UNKNOWN_CODE, element, name="PointType", text=text, taken="other")
    known: dict[int | None, PointKind] = {int(kind): kind for kind in PointKind}
    return [known.get(code, PointKind.OTHER) for code in codes]
