"""Where things lie: whether two are in one place."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from taskdata.geometry.areas import GroundPart, on_map
from taskdata.geometry.geodesy import polygon_area
from taskdata.geometry.loops import polygons_of
from taskdata.isoxml.facts import letter
from taskdata.isoxml.tree.element import Element
from taskdata.model.shapes import Coordinates
from taskdata.sets.alike_outlines import SAME_OUTLINE, SAME_OUTLINE_AND_NAME, common_share
from taskdata.sets.moves import move

SAME_PLACE_M = 0.1
"""Lines and points of one kind and name are one where they lie no farther apart, in metres: what a correction service
repeats. Farther apart both are kept, for a line moved on purpose must not get lost."""

_FAR_DEGREES = 2e-6
"""Degrees of latitude that are surely more than ``SAME_PLACE_M``."""
_EXTERIOR, _INTERIOR = "1", "2"


def points_of(element: Element) -> Coordinates:
    """Return the points of a line, a pattern, or a single place, (n, 2) degrees; empty where they are not in XML."""
    if element.tag == "GPN":
        parts = [line.coordinates() for line in element.elements("LSG")]
        points = np.vstack(parts) if parts else np.empty((0, 2))
    elif element.tag == "LSG":
        points = element.coordinates()
    else:
        points = np.array([[_number(element, "East"), _number(element, "North")]])
    return points[np.isfinite(points).all(axis=1)]


def same_place(left: Coordinates, right: Coordinates) -> bool:
    """Tell whether two lines or points, (n, 2) degrees, lie in one place; see ``SAME_PLACE_M``."""
    if not len(left) or not len(right) or abs(left[:, 1].min() - right[:, 1].min()) > _FAR_DEGREES:
        return False
    return move(left, right).distance_m <= SAME_PLACE_M


def same_ground(here: Any | None, there: Any | None, *, named: bool) -> bool:
    """Tell whether two grounds are the same; less of it in common is enough where they are ``named`` alike."""
    if here is None or there is None or not shapely.intersects(here, there):
        return False
    return common_share(here, there) >= (SAME_OUTLINE_AND_NAME if named else SAME_OUTLINE)


def hectares(outline: Any) -> float:
    """Return the area of an outline, a valid geometry in degrees, on the ellipsoid."""
    return sum(polygon_area([exterior], holes) for exterior, holes in polygons_of(outline)) / 10_000.0


def _number(element: Element, side: str) -> float:
    prefix = "BaseStation" if element.tag == "BSN" else "Point"
    try:
        return float(element.attributes.get(letter(element.tag, f"{prefix}{side}"), "nan"))
    except ValueError:
        return float("nan")


def ground_of(element: Element) -> Any | None:
    """Return what a polygon (PLN) encloses, a geometry in degrees cut at the antimeridian; None for nothing."""
    rings: dict[str | None, list[Coordinates]] = {_EXTERIOR: [], _INTERIOR: []}
    for line in element.elements("LSG"):
        rings.setdefault(line.get("LineStringType"), []).append(points_of(line))
    return on_map([GroundPart(rings[_EXTERIOR], rings[_INTERIOR])]).shape
