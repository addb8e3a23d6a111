"""A mass of crop at another moisture: its dry matter stays, m (100 - w) = m' (100 - w').

The dry-matter formula of the grain trade, also known by Duval's name; as in FAO Agricultural Services Bulletin 109 on
drying of grain (from memory).
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np

from taskdata.amounts import plain
from taskdata.errors import UsageError
from taskdata.fieldwork.measured.channels import BY_TIME
from taskdata.geometry.arrays import Floats
from taskdata.quantities.dictionary import entry

Mass = TypeVar("Mass", float, Floats)

DRY = frozenset({181, 182})
_BY_MASS = "mg/m²"


def at_moisture(mass: Mass, moisture: Floats | float, standard: float) -> Mass:
    """Return a mass at a standard moisture; moistures are shares of water in the mass, 0 to below 1."""
    return mass * (1.0 - moisture) / (1.0 - standard)  # type: ignore[return-value]


def check_moisture(ddi: int, standard: float, logged: Floats) -> None:
    """Refuse to bring values to a standard moisture that have none.

    Raises
    ------
    UsageError
        The quantity is no mass, is dry already, or was logged without a moisture.
    """
    item = entry(BY_TIME.get(ddi, ddi))
    if item.unit != _BY_MASS or item.group != "yield":
        raise UsageError(
            f"{item.plain_name} is no mass of crop, so it has no moisture", remedy="Leave [[moisture]] out"
        )
    if ddi in DRY:
        why = "the machine has brought it to its reference moisture already (DDI 184)"
        raise UsageError(f"{item.plain_name} is dry mass", why=why, remedy="Leave [[moisture]] out")
    if not np.isfinite(logged).any():
        what = f"no moisture was logged, so {item.plain_name} cannot be brought to {plain(100.0 * standard)} %"
        raise UsageError(what, remedy="Leave [[moisture]] out")
