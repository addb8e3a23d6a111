"""What kind of product group it is."""

from __future__ import annotations

from taskdata.checks.coding._reading import integer
from taskdata.isoxml.tree.element import Element

CROP = 2


def is_crop_group(group: Element) -> bool:
    """Tell whether a product group (PGP) is of the type crop; without a type it is an ordinary one."""
    return integer(group, "ProductGroupType") == CROP
