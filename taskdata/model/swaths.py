"""Ground that was worked along a line with a width."""

from __future__ import annotations

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.model.shapes import Coordinates
from taskdata.records import short_repr


@short_repr
@dataclass(frozen=True, eq=False)
class Swath:
    """A pass, or a part of one along which the width stays the same.

    Parameters
    ----------
    points : float64 (n, 2)
        Longitude and latitude in degrees of the middle of what worked, in the order of driving.
    width_m : float
        Of what worked, metres.
    order : int or None
        Number of the pass in the order of driving, from 1; None = not known.
    part : int
        Number of the part in its pass, from 1.
    heading_deg : float or None
        From the first to the last point, clockwise from true north; None = not known which of them is the first.
    start, end : datetime64[ms] or None
        Times at the first and the last point.
    """

    points: Coordinates
    width_m: float
    order: int | None = None
    part: int = 1
    heading_deg: float | None = None
    start: np.datetime64 | None = None
    end: np.datetime64 | None = None
