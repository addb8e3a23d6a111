"""Products with their mixtures, workers, and crops with their varieties (PDT, PRN, WKR, CTP, CVT)."""

from __future__ import annotations

from enum import IntEnum

from taskdata.isoxml.to_model.reading import Reading, needed_integer, needed_text
from taskdata.isoxml.tree.element import Element
from taskdata.model.machines import Component, Crop, CropVariety, Product, Worker


class ProductType(IntEnum):
    """Product types (ISO 11783-10 D.42)."""

    SINGLE = 1
    MIXTURE = 2
    TEMPORARY_MIXTURE = 3


def product(reading: Reading, element: Element) -> Product:
    """Read a product (PDT); without a type it is a single one."""
    kind = ProductType.SINGLE
    if element.get("ProductType") is not None:
        kind = reading.code(element, "ProductType", ProductType, ProductType.SINGLE)
    return Product(
        id=reading.identifier(element),
        name=element.get("ProductDesignator") or "",
        group=element.get("ProductGroupIdRef"),
        quantity_ddi=reading.ddi(element, "QuantityDDI"),
        mixture=kind is not ProductType.SINGLE,
        components=reading.each(element.elements("PRN"), _component),
        key=reading.key(element),
        place=reading.place(element),
    )


def worker(reading: Reading, element: Element) -> Worker:
    """Read a worker (WKR)."""
    return Worker(
        id=reading.identifier(element),
        name=element.get("WorkerLastName") or "",
        first_name=element.get("WorkerFirstName"),
        key=reading.key(element),
        place=reading.place(element),
    )


def crop(reading: Reading, element: Element) -> Crop:
    """Read a crop type (CTP) with its varieties."""
    return Crop(
        id=reading.identifier(element),
        name=element.get("CropTypeDesignator") or "",
        group=element.get("ProductGroupIdRef"),
        varieties=reading.each(element.elements("CVT"), _variety),
        key=reading.key(element),
        place=reading.place(element),
    )


def _variety(reading: Reading, element: Element) -> CropVariety:
    return CropVariety(
        id=reading.identifier(element),
        name=element.get("CropVarietyDesignator") or "",
        product=element.get("ProductIdRef"),
        key=reading.key(element),
        place=reading.place(element),
    )


def _component(_: Reading, element: Element) -> Component:
    return Component(needed_text(element, "ProductIdRef"), needed_integer(element, "QuantityValue"))
