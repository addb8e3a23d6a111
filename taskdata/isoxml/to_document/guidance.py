"""Guidance groups and lines to elements (GGP, GPN), or to plain lines where the version has no patterns."""

from __future__ import annotations

import math

import numpy as np

from taskdata.geometry.courses import arc, straight
from taskdata.geometry.geodesy import azimuth
from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.to_document.change import DocumentChange, named
from taskdata.isoxml.to_document.fitting import Attribute
from taskdata.isoxml.to_document.points import put_moved_points, put_points
from taskdata.isoxml.to_document.same_points import same
from taskdata.isoxml.to_document.shapes import MILLIMETRES, create_area, create_line, single_areas, update_area
from taskdata.isoxml.tree.element import Element
from taskdata.ledger import LossKind
from taskdata.model.fields import CONTRADICTION_DEG, GuidanceGroup, GuidanceKind, GuidanceLine, turned
from taskdata.model.shapes import Coordinates, Line, LineKind, PointKind
from taskdata.phrases import phrase

_CODES = {
    GuidanceKind.AB: 1,
    GuidanceKind.A_PLUS: 2,
    GuidanceKind.CURVE: 3,
    GuidanceKind.PIVOT: 4,
    GuidanceKind.SPIRAL: 5,
}

_SIDES = {2: "passes to the left only", 3: "passes to the right only", 4: "no passes beside it"}
_ENDS = {2: "extended before its first point only", 3: "extended beyond its last point only", 4: "not extended"}


def _heading(degrees: float) -> str:
    """Return a heading as text, without an exponent and without idle zeros."""
    return f"{degrees:.9f}".rstrip("0").rstrip(".")


_PATTERN = (
    Attribute("GuidancePatternDesignator", "name"),
    Attribute("GuidancePatternType", "kind", _CODES.__getitem__),
    Attribute("GuidancePatternOptions", "direction"),
    Attribute("GuidancePatternPropagationDirection", "propagation"),
    Attribute("GuidancePatternExtension", "extension"),
    Attribute("GuidancePatternHeading", "heading_deg", _heading),
    Attribute("GuidancePatternRadius", "radius_m", factor=MILLIMETRES),
    Attribute("NumberOfSwathsLeft", "swaths_left"),
    Attribute("NumberOfSwathsRight", "swaths_right"),
)
_STRING = (Attribute("LineStringWidth", "spacing_m", factor=MILLIMETRES),)
_GROUP = (Attribute("GuidanceGroupDesignator", "name"),)


def create_group(change: DocumentChange, group: GuidanceGroup) -> Element:
    """Make a guidance group (GGP) with its patterns."""
    element = Element("GGP")
    change.lay(element, _GROUP, None, group)
    change.identify(element, group.id)
    for line in group.lines:
        element.append(_create_pattern(change, line))
    for area in single_areas(change, group.boundaries):
        element.append(create_area(change, area))
    return element


def update_group(change: DocumentChange, element: Element, old: GuidanceGroup, new: GuidanceGroup) -> None:
    """Lay a changed group over its element."""
    change.lay(element, _GROUP, old, new)
    change.sync(
        element,
        old.lines,
        new.lines,
        lambda pattern, before, after: _update_pattern(change, pattern, before, after),
        lambda line: _create_pattern(change, line),
    )
    _sync_boundaries(change, element, old, new)


def as_lines(change: DocumentChange, group: GuidanceGroup) -> list[Element]:
    """Make plain lines of type 5 of a new group, for versions without patterns (R-237); say what is lost."""
    made = []
    for line in group.lines:
        told, why = f"guidance line {line.name or line.id or line.kind}", f"version {change.major} has no patterns"
        points = _course(line)
        if points is None or len(points) < 2:
            change.lose(LossKind.DROPPED, line.id, told, phrase("{why}, and its points define no line", why=why))
            continue
        made.append(create_line(change, Line(LineKind.GUIDANCE, points, name=line.name, width_m=line.spacing_m)))
        if line.kind is not GuidanceKind.AB:
            told = phrase(
                "{told} of kind {kind} becomes a line of {count} points", told=told, kind=line.kind, count=len(points)
            )
            change.lose(
                LossKind.CHANGED,
                line.id,
                told,
                phrase("{why}; it reads as {value}", why=why, value="an A-B line" if len(points) == 2 else "a curve"),
            )
        _tell_limits(change, line, why)
    return made


def _course(line: GuidanceLine) -> Coordinates | None:
    """Return the points that a line steers along, None where nothing gives them."""
    if line.kind is GuidanceKind.A_PLUS and len(line.points) and line.heading_deg is not None:
        return straight(line.points[0], line.heading_deg)
    if line.kind is GuidanceKind.PIVOT:
        way = {1: True, 2: False}.get(line.direction or 0)
        return arc(line.points, math.nan if line.radius_m is None else line.radius_m, way)
    return line.points


def _tell_limits(change: DocumentChange, line: GuidanceLine, why: str) -> None:
    """Say which limits of a line are lost with its pattern."""
    told = [text for text in (_SIDES.get(line.propagation or 0), _ENDS.get(line.extension or 0)) if text]
    for count, side in ((line.swaths_left, "left"), (line.swaths_right, "right")):
        told += [] if count is None else [f"{count} passes to the {side} at most"]
    told += ["where it is valid"] if line.boundaries else []
    if told:
        change.lose(
            LossKind.DROPPED,
            line.id,
            phrase("of guidance line {name}: {told}", name=line.name or line.id or line.kind, told=", ".join(told)),
            why,
        )


def _create_pattern(change: DocumentChange, line: GuidanceLine) -> Element:
    element = Element("GPN")
    change.lay(element, _PATTERN, None, line)
    change.identify(element, line.id)
    string = Element("LSG", {letter("LSG", "LineStringType"): str(int(LineKind.GUIDANCE))})
    element.append(string)
    change.lay(string, _STRING, None, line)
    put_points(change, string, line.points, point_kinds(line), line)
    _tell_heading(change, line)
    for area in single_areas(change, line.boundaries):
        element.append(create_area(change, area))
    return element


def _update_pattern(change: DocumentChange, element: Element, old: GuidanceLine, new: GuidanceLine) -> None:
    change.lay(element, _PATTERN, old, new)
    string = next(element.elements("LSG"), None)
    if string is None:
        string = Element("LSG", {letter("LSG", "LineStringType"): str(int(LineKind.GUIDANCE))})
        element.append(string)
    change.lay(string, _STRING, old, new)
    if not same(old.points, new.points):
        put_moved_points(change, string, new.points, point_kinds(new), new)
    if not (same(old.points, new.points) and old.heading_deg == new.heading_deg):
        _tell_heading(change, new)
    _sync_boundaries(change, element, old, new)


def _tell_heading(change: DocumentChange, line: GuidanceLine) -> None:
    """Say where the stated heading of a line is not that from its first to its last point."""
    if line.kind not in {GuidanceKind.AB, GuidanceKind.CURVE} or len(line.points) < 2:
        return
    if not isinstance(line.heading_deg, int | float) or not np.isfinite(line.points).all():
        return
    drawn = azimuth(line.points[0], line.points[-1])
    if turned(line.heading_deg, drawn) > CONTRADICTION_DEG:
        what = phrase(
            "the heading {heading_deg:g}° of {line} contradicts its points, which run at {drawn:.2f}°",
            heading_deg=line.heading_deg,
            line=named(line),
            drawn=drawn,
        )
        why = phrase("both are kept: some terminals steer by the points, others by the heading, so correct one")
        change.lose(LossKind.CHANGED, line.id, what, why)


def _sync_boundaries(
    change: DocumentChange,
    element: Element,
    old: GuidanceGroup | GuidanceLine,
    new: GuidanceGroup | GuidanceLine,
) -> None:
    change.sync(
        element,
        old.boundaries,
        single_areas(change, new.boundaries),
        lambda polygon, before, after: update_area(change, polygon, before, after),
        lambda area: create_area(change, area),
    )


def point_kinds(line: GuidanceLine) -> list[PointKind]:
    """Return the type of each point of a guidance line (D.30): A, B, the centre, or a point between."""
    count = len(line.points)
    if line.kind is GuidanceKind.PIVOT:
        told = [PointKind.GUIDANCE_CENTRE, PointKind.GUIDANCE_A, PointKind.GUIDANCE_B]
        return [*told, *[PointKind.GUIDANCE_POINT] * (count - len(told))][:count]
    kinds = [PointKind.GUIDANCE_POINT] * count
    kinds[:1] = [PointKind.GUIDANCE_A]
    if count > 1:
        kinds[-1] = PointKind.GUIDANCE_B
    return kinds


def allowed(change: DocumentChange) -> bool:
    """Tell whether the version of the document has guidance patterns."""
    return elements()["GPN"].holds(change.facts_of)
