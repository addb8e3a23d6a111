"""What kind of product it is."""

from __future__ import annotations

from taskdata.checks.coding._reading import integer
from taskdata.isoxml.tree.element import Element

MIXTURE, TEMPORARY = 2, 3


def is_mixture(product: Element) -> bool:
    """Tell whether a product (PDT) is a mixture, for good or for once; without a type it is a single product."""
    return integer(product, "ProductType") in {MIXTURE, TEMPORARY}
