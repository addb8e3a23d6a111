"""What tasks that are not begun ask for."""

from __future__ import annotations

from taskdata.dataclass import dataclass
from taskdata.records import short_repr


@short_repr
@dataclass(frozen=True, slots=True)
class PlannedAmount:
    """How much of a product a task asks for.

    Parameters
    ----------
    task : str
        Identifier.
    ddi : int
        The setpoint.
    product : str or None
        Identifier, where the task tells.
    area_m2, amount : float or None
        Ground with a rate, and the product for it in mm³, mg, ml or pieces; None where it cannot be told: parts of a
        machine get different rates in one zone, or a grid and polygons hold beside each other.
    """

    task: str
    ddi: int
    product: str | None
    area_m2: float | None
    amount: float | None
