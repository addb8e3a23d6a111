"""Products lose their recipe, their densities and their link to a crop."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, label
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase

_LINKS = {"CTP": "ProductGroupIdRef", "CVT": "ProductIdRef", "PGP": "ProductGroupType"}
_DETAILS = (
    "ProductType",
    "MixtureRecipeQuantity",
    "DensityMassPerVolume",
    "DensityMassPerCount",
    "DensityVolumePerCount",
)


def simplify_products(work: Adaptation) -> None:
    """Drop the links between crops and commodities (R-239), and types, densities and recipes of products (R-240).

    A mixture becomes a plain product.
    """
    for element in work.tagged(*_LINKS):
        work.drop_attribute(element, _LINKS[element.tag])
    for product in work.tagged("PDT"):
        for name in _DETAILS:
            work.drop_attribute(product, name)
        recipe = list(product.elements("PRN"))
        if recipe:
            parts = [
                phrase("{amount} of {product}", amount=part.get("QuantityValue"), product=_named(work, part))
                for part in recipe
            ]
            work.drop(product, phrase("recipe of {product}: {parts}", product=label(product), parts=parts))
        for part in recipe:
            work.remove(part)


def _named(work: Adaptation, part: Element) -> str:
    """Return the name of the product of a part of a recipe, its identifier where there is no such product."""
    told = part.get("ProductIdRef") or ""
    product = work.document.by_id.get(told)
    name = None if product is None else product.get("ProductDesignator")
    return f"{name!r}" if name else told
