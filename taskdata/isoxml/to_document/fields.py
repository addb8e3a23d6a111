"""Customers, farms and fields to elements (CTR, FRM, PFD)."""

from __future__ import annotations

import math
from dataclasses import replace

from taskdata.geometry.geodesy import polygon_area
from taskdata.isoxml.to_document.change import DocumentChange
from taskdata.isoxml.to_document.fitting import Attribute
from taskdata.isoxml.to_document.guidance import allowed, as_lines, create_group, update_group
from taskdata.isoxml.to_document.same_points import same
from taskdata.isoxml.to_document.shapes import (
    create_area,
    create_line,
    create_point,
    single_areas,
    update_area,
    update_line,
    update_point,
)
from taskdata.isoxml.tree.element import Element
from taskdata.ledger import LossKind
from taskdata.model.fields import Customer, Farm, Field
from taskdata.phrases import phrase

CUSTOMER = (
    Attribute("CustomerLastName", "name"),
    Attribute("CustomerFirstName", "first_name"),
)
FARM = (
    Attribute("FarmDesignator", "name"),
    Attribute("CustomerIdRef", "customer"),
)
_FIELD = (
    Attribute("PartfieldCode", "code"),
    Attribute("PartfieldDesignator", "name"),
    Attribute("PartfieldArea", "declared_area_m2"),
    Attribute("CustomerIdRef", "customer"),
    Attribute("FarmIdRef", "farm"),
    Attribute("CropTypeIdRef", "crop"),
    Attribute("CropVarietyIdRef", "variety"),
    Attribute("FieldIdRef", "parent"),
)


def create_customer(change: DocumentChange, customer: Customer) -> Element:
    """Make a customer (CTR)."""
    return _plain(change, "CTR", CUSTOMER, customer)


def create_farm(change: DocumentChange, farm: Farm) -> Element:
    """Make a farm (FRM)."""
    return _plain(change, "FRM", FARM, farm)


def create_field(change: DocumentChange, field: Field) -> Element:
    """Make a field (PFD) with all that lies in it; its area is computed where none is declared."""
    element = Element("PFD")
    whole = field if field.declared_area_m2 is not None else replace(field, declared_area_m2=_whole(area_m2(field)))
    change.lay(element, _FIELD, None, whole)
    change.identify(element, field.id)
    _sync_content(change, element, Field(field.id, field.name), field)
    return element


def update_field(change: DocumentChange, element: Element, old: Field, new: Field) -> None:
    """Lay a changed field over its element; a declared area follows a moved boundary."""
    if old.declared_area_m2 == new.declared_area_m2 and _reshaped(old, new):
        new = replace(new, declared_area_m2=_whole(area_m2(new)))
        told = phrase(
            "area of {name!r} becomes {declared_area_m2} m²", name=new.name, declared_area_m2=new.declared_area_m2
        )
        if new.declared_area_m2 != old.declared_area_m2:
            change.lose(LossKind.CHANGED, new.id, told, phrase("its boundary changed"))
    change.lay(element, _FIELD, old, new)
    _sync_content(change, element, old, new)


def area_m2(field: Field) -> float:
    """Return the geodesic area of a field's boundary, holes out."""
    return sum(polygon_area(area.exteriors, area.interiors) for area in field.boundaries)


def _whole(size: float) -> int:
    """Return a size in whole square metres; that of rings with a place that is no number is 0."""
    return round(size) if math.isfinite(size) else 0


def _reshaped(old: Field, new: Field) -> bool:
    """Tell whether the boundary of a field holds another area, by 1 m² at least: a mere move leaves it."""
    return not same(old.boundaries, new.boundaries) and abs(area_m2(new) - area_m2(old)) >= 1.0


def _plain(change: DocumentChange, tag: str, attributes: tuple[Attribute, ...], record: Customer | Farm) -> Element:
    element = Element(tag)
    change.lay(element, attributes, None, record)
    change.identify(element, record.id)
    return element


def _sync_content(change: DocumentChange, element: Element, old: Field, new: Field) -> None:
    for before, after in ((old.boundaries, new.boundaries), (old.areas, new.areas)):
        change.sync(
            element,
            before,
            single_areas(change, after),
            lambda polygon, was, now: update_area(change, polygon, was, now),
            lambda area: create_area(change, area),
        )
    change.sync(
        element,
        old.lines,
        new.lines,
        lambda string, was, now: update_line(change, string, was, now),
        lambda line: create_line(change, line),
    )
    change.sync(
        element,
        old.points,
        new.points,
        lambda point, was, now: update_point(change, point, was, now),
        lambda point: create_point(change, point),
    )
    _sync_groups(change, element, old, new)


def _sync_groups(change: DocumentChange, element: Element, old: Field, new: Field) -> None:
    groups = new.groups
    if not allowed(change):
        for group in groups:
            for line in as_lines(change, group):
                element.append(line)
        groups = ()
    change.sync(
        element,
        old.groups,
        groups,
        lambda item, was, now: update_group(change, item, was, now),
        lambda group: create_group(change, group),
    )
