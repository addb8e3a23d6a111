"""Points, lines and polygons of the farm as elements."""

from __future__ import annotations

import struct
from pathlib import Path

from _place import HEIGHT, Metres, Ring, area, decimal, degrees, length
from _xml import Element, el


def point(kind: int, place: Metres, designator: str | None = None, **more: object) -> Element:
    """Return a PNT."""
    north, east = degrees(*place)
    return el(
        "PNT", PointType=kind, PointDesignator=designator, PointNorth=decimal(north), PointEast=decimal(east), **more
    )


def line(
    kind: int, places: Ring, designator: str | None = None, point_kinds: list[int] | None = None, **more: object
) -> Element:
    """Return a LSG through ``places``."""
    kinds = point_kinds or [2] * len(places)
    points = [point(k, place) for k, place in zip(kinds, places, strict=True)]
    return el("LSG", *points, LineStringType=kind, LineStringDesignator=designator, **more)


def ring(places: Ring, inner: bool = False, closed: bool = True) -> Element:
    """Return a LSG around an area, with the first point repeated if ``closed``."""
    return line(2 if inner else 1, [*places, places[0]] if closed else places)


def polygon(
    kind: int, outer: Ring, holes: tuple[Ring, ...] = (), designator: str | None = None, **more: object
) -> Element:
    """Return a PLN with one outer ring and its area."""
    size = round(area(outer) - sum(area(hole) for hole in holes))
    return el(
        "PLN",
        ring(outer),
        *(ring(hole, inner=True) for hole in holes),
        PolygonType=kind,
        PolygonDesignator=designator,
        PolygonArea=size,
        **more,
    )


def stored_line(folder: Path, name: str, kind: int, places: Ring, heights: bool, **more: object) -> Element:
    """Write ``places`` as a binary point file and return the LSG that names it."""
    record = b""
    for place in places:
        north, east = degrees(*place)
        record += struct.pack("<qq", round(north * 1e9) * 10**7, round(east * 1e9) * 10**7)
        if heights:
            record += struct.pack("<i", HEIGHT + round(place[0]))
    (folder / f"{name}.BIN").write_bytes(record)
    only = el(
        "PNT",
        PointType=2,
        PointNorth="",
        PointEast="",
        PointUp="" if heights else None,
        Filename=name,
        Filelength=len(record),
    )
    return el("LSG", only, LineStringType=kind, LineStringLength=round(1000 * length(places)), **more)
