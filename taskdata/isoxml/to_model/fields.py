"""Customers, farms, fields and their guidance (CTR, FRM, PFD, GGP, GPN)."""

from __future__ import annotations

from collections.abc import Iterator
from enum import IntEnum
from itertools import chain

from taskdata.isoxml.to_model import shapes
from taskdata.isoxml.to_model.reading import Reading, Unreadable, needed_code
from taskdata.isoxml.tree.element import POINT, Element
from taskdata.model.fields import Customer, Farm, Field, GuidanceGroup, GuidanceKind, GuidanceLine
from taskdata.model.shapes import AreaKind, Coordinates
from taskdata.phrases import phrase


class PatternType(IntEnum):
    """Guidance pattern types (ISO 11783-10 D.30); the names are those of ``GuidanceKind``."""

    AB = 1
    A_PLUS = 2
    CURVE = 3
    PIVOT = 4
    SPIRAL = 5


def customer(reading: Reading, element: Element) -> Customer:
    """Read a customer (CTR)."""
    return Customer(
        id=reading.identifier(element),
        name=element.get("CustomerLastName") or "",
        first_name=element.get("CustomerFirstName"),
        key=reading.key(element),
        place=reading.place(element),
    )


def farm(reading: Reading, element: Element) -> Farm:
    """Read a farm (FRM)."""
    return Farm(
        id=reading.identifier(element),
        name=element.get("FarmDesignator") or "",
        customer=element.get("CustomerIdRef"),
        key=reading.key(element),
        place=reading.place(element),
    )


def field(reading: Reading, element: Element) -> Field:
    """Read a field (PFD) with everything in it."""
    areas = reading.each(element.elements("PLN"), shapes.area)
    return Field(
        id=reading.identifier(element),
        name=element.get("PartfieldDesignator") or "",
        code=element.get("PartfieldCode"),
        declared_area_m2=reading.integer(element, "PartfieldArea"),
        customer=element.get("CustomerIdRef"),
        farm=element.get("FarmIdRef"),
        crop=element.get("CropTypeIdRef"),
        variety=element.get("CropVarietyIdRef"),
        parent=element.get("FieldIdRef"),
        boundaries=tuple(area for area in areas if area.kind is AreaKind.BOUNDARY),
        areas=tuple(area for area in areas if area.kind is not AreaKind.BOUNDARY),
        lines=reading.each(element.elements("LSG"), shapes.line),
        points=tuple(chain.from_iterable(reading.each(element.elements(POINT), shapes.points))),
        groups=(*reading.each(element.elements("GGP"), guidance_group), *_without_group(reading, element)),
        key=reading.key(element),
        place=reading.place(element),
    )


def _without_group(reading: Reading, element: Element) -> Iterator[GuidanceGroup]:
    """Yield a group of its own, without a name, for each guidance pattern that stands directly in a field."""
    for line in reading.each(element.elements("GPN"), guidance_line):
        yield GuidanceGroup(lines=(line,), place=line.place)


def guidance_group(reading: Reading, element: Element) -> GuidanceGroup:
    """Read a guidance group (GGP)."""
    return GuidanceGroup(
        lines=reading.each(element.elements("GPN"), guidance_line),
        name=element.get("GuidanceGroupDesignator"),
        id=element.id,
        boundaries=reading.each(element.elements("PLN"), shapes.area),
        key=reading.key(element),
        place=reading.place(element),
    )


def guidance_line(reading: Reading, element: Element) -> GuidanceLine:
    """Read a guidance pattern (GPN); one whose type or points are not known is never guessed, machines steer by it.

    Raises
    ------
    Unreadable
        It has no type of the standard, or no line string with coordinates.
    """
    kind = GuidanceKind[needed_code(element, "GuidancePatternType", PatternType).name]
    courses = reading.each(element.elements("LSG"), _course)
    if not courses:
        raise Unreadable(phrase("it has no readable line string"))
    points, spacing = courses[0]
    return GuidanceLine(
        kind=kind,
        points=points,
        name=element.get("GuidancePatternDesignator"),
        id=element.id,
        heading_deg=reading.decimal(element, "GuidancePatternHeading"),
        radius_m=reading.metres(element, "GuidancePatternRadius"),
        spacing_m=spacing,
        swaths_left=reading.integer(element, "NumberOfSwathsLeft"),
        swaths_right=reading.integer(element, "NumberOfSwathsRight"),
        propagation=reading.integer(element, "GuidancePatternPropagationDirection"),
        extension=reading.integer(element, "GuidancePatternExtension"),
        direction=reading.integer(element, "GuidancePatternOptions"),
        boundaries=reading.each(element.elements("PLN"), shapes.area),
        key=reading.key(element),
        place=reading.place(element),
    )


def _course(reading: Reading, element: Element) -> tuple[Coordinates, float | None]:
    """Return the points and the swath width of a line string."""
    return shapes.course(reading, element), reading.metres(element, "LineStringWidth")
