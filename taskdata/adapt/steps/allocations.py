"""Remainders of products are left out."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation
from taskdata.phrases import phrase

_REMAINDER = "3"


def drop_remainders(work: Adaptation) -> None:
    """Leave out allocations that state a remainder (PAN.D 3), never turn them into filling or emptying (R-242)."""
    for allocation in work.tagged("PAN"):
        if allocation.get("TransferMode") == _REMAINDER:
            what = phrase(
                "remainder {quantity_value} of {product}",
                quantity_value=allocation.get("QuantityValue"),
                product=allocation.get("ProductIdRef"),
            )
            work.drop(allocation, what)
            work.remove(allocation)
