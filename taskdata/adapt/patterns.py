"""The course that a guidance pattern steers along, as points of its line."""

from __future__ import annotations

import math

import numpy as np

from taskdata.adapt.points import is_point, run_of, types
from taskdata.geometry.arrays import Points
from taskdata.geometry.courses import CIRCLE_TOLERANCE_M, STRAIGHT_M, arc, straight
from taskdata.geometry.geodesy import line_length
from taskdata.isoxml.to_model.fields import PatternType
from taskdata.isoxml.tree.decimals import DecimalColumn
from taskdata.isoxml.tree.element import Element, PointRun
from taskdata.model.shapes import PointKind
from taskdata.phrases import phrase

_A, _B, _CENTRE = (str(int(kind)) for kind in (PointKind.GUIDANCE_A, PointKind.GUIDANCE_B, PointKind.GUIDANCE_CENTRE))
_ORDER = {_CENTRE: 0, _A: 1, _B: 2}
_WAYS = {"1": True, "2": False}
"""Clockwise and counter-clockwise (ISO 11783-10, D.30)."""


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
    second = run_of(straight(points[0], heading)[1:])
    string.children = [*(child for child in string.children if not is_point(child)), first, second]
    return phrase("heading {heading} becomes a second point {far:.0f} m from A", heading=heading, far=STRAIGHT_M)


def _circle(pattern: Element, string: Element) -> str | None:
    way = _WAYS.get(pattern.get("GuidancePatternOptions") or "")
    points, radius = _centre_first(string), _number(pattern, "GuidancePatternRadius") / 1000
    laid = arc(points, radius, way)
    if laid is None:
        return None
    radius = radius if radius > 0 else line_length(points[:2])
    string.children = [child for child in string.children if not is_point(child)]
    string.children.append(run_of(laid))
    shape = phrase("circle") if (laid[0] == laid[-1]).all() else phrase("arc")
    return phrase(
        "the {shape} of {radius:g} m becomes {count} points, at most {most} m off it",
        shape=shape,
        radius=radius,
        count=len(laid),
        most=CIRCLE_TOLERANCE_M,
    )


def from_a_to_b(string: Element) -> bool:
    """Turn the points of a line round that begins with B and ends with A; tell whether that was done."""
    codes = types(string)
    if len(codes) < 2 or codes[0] != _B or codes[-1] != _A:
        return False
    points = [child for child in string.children if is_point(child)]
    turned = [_turned(child) if isinstance(child, PointRun) else child for child in reversed(points)]
    string.children = [*(child for child in string.children if not is_point(child)), *turned]
    return True


def _turned(run: PointRun) -> PointRun:
    return PointRun.of({name: run.texts(name)[::-1] for name in run.names})


def _centre_first(string: Element) -> Points:
    """Return the readable points of a pivot: the centre, A, B, whatever their order where their types tell it."""
    places, codes = string.coordinates(), types(string)
    places = places[sorted(range(len(codes)), key=lambda at: _ORDER.get(codes[at], len(_ORDER)))]
    return np.asarray(places[np.isfinite(places).all(axis=1)])


def _readable(string: Element) -> Points:
    places = string.coordinates()
    return np.asarray(places[np.isfinite(places).all(axis=1)])


def _number(element: Element, name: str) -> float:
    return float(DecimalColumn.from_texts([element.get(name) or ""]).floats()[0])
