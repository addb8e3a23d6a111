"""The course that a guidance pattern steers along, as points of its line."""

from __future__ import annotations

import math

import numpy as np

from taskdata.adapt.points import is_point, run_of
from taskdata.geometry.arrays import Points, as_points
from taskdata.geometry.geodesy import azimuth, destination, line_length
from taskdata.isoxml.decimals import DecimalColumn
from taskdata.isoxml.element import Element, PointRun
from taskdata.isoxml.to_model.fields import PatternType

STRAIGHT_M = 1000.0
"""How far from A the second point of a line is laid that is given by A and a heading."""

CIRCLE_TOLERANCE_M = 0.01
"""How far the straight pieces of a circle may lie off it at most."""

_CLOCKWISE, _COUNTER = "1", "2"


def course_of(pattern: Element, string: Element, kind: PatternType | None) -> str | None:
    """Make the points of ``string`` the course of a pattern that is given otherwise.

    Returns
    -------
    str or None
        What was laid down instead, for the ledger; blank where the points are the course already; None where no course
        can be made.
    """
    if kind is PatternType.A_PLUS:
        return _straight(pattern, string)
    if kind is PatternType.PIVOT:
        return _circle(pattern, string)
    return "" if len(_readable(string)) > 1 else None


def _straight(pattern: Element, string: Element) -> str | None:
    points, heading = _readable(string), _number(pattern, "GuidancePatternHeading")
    if not math.isfinite(heading) and len(points) > 1:
        return ""
    if not len(points) or not math.isfinite(heading):
        return None
    first = next(child for child in string.children if is_point(child))
    if isinstance(first, PointRun):
        first = PointRun(first.store, first.start, first.start + 1)
    second = run_of(as_points(destination(points[0], heading, STRAIGHT_M)))
    string.children = [*(child for child in string.children if not is_point(child)), first, second]
    return f"heading {heading} becomes a second point {STRAIGHT_M:.0f} m from A"


def _circle(pattern: Element, string: Element) -> str | None:
    points, radius = _readable(string), _number(pattern, "GuidancePatternRadius") / 1000
    if len(points) > 1 and not radius > 0:
        radius = line_length(points[:2])
    if not len(points) or not radius > 0 or radius > 1e6:
        return None
    direction = pattern.get("GuidancePatternOptions")
    start = azimuth(points[0], points[1]) if len(points) > 1 else 0.0
    start = start if math.isfinite(start) else 0.0
    sweep = 360.0
    if len(points) > 2 and direction in {_CLOCKWISE, _COUNTER}:
        ahead = (azimuth(points[0], points[2]) - start) % 360.0
        sweep = ahead if direction == _CLOCKWISE else 360.0 - ahead
    step = 2 * math.degrees(math.acos(max(0.0, 1 - CIRCLE_TOLERANCE_M / radius)))
    turns = np.linspace(0.0, sweep, max(8, math.ceil(sweep / step)) + 1)
    turns = start - turns if direction == _COUNTER else start + turns
    laid = destination(np.broadcast_to(points[0], (len(turns), 2)), turns, radius)
    if sweep == 360.0:
        laid[-1] = laid[0]
    string.children = [child for child in string.children if not is_point(child)]
    string.children.append(run_of(laid))
    shape = "circle" if sweep == 360.0 else "arc"
    return f"the {shape} of {radius:g} m becomes {len(laid)} points, at most {CIRCLE_TOLERANCE_M} m off it"


def _readable(string: Element) -> Points:
    places = string.coordinates()
    return np.asarray(places[np.isfinite(places).all(axis=1)])


def _number(element: Element, name: str) -> float:
    return float(DecimalColumn.from_texts([element.get(name) or ""]).floats()[0])
