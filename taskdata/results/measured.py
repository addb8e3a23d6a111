"""What was measured on which ground: a yield, a moisture, what a sensor saw; without records that mislead."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field as made
from typing import Any

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.records import short_repr


@short_repr
@dataclass(frozen=True, slots=True)
class LeftOut:
    """A rule by which records are left out, what these are, and how many broke it and none before it."""

    rule: str
    why: str
    count: int


@short_repr
@dataclass(frozen=True, eq=False)
class MeasuredGround:
    """The ground of each record at work, n of them.

    Parameters
    ----------
    log, record : tuple of str, ndarray
        File and number of each record.
    time : datetime64[ms]
        (n,) local time.
    value, moisture : ndarray
        (n,) as in `MeasuredQuantity`, and the share of water; NaN where not known.
    rule : ndarray
        (n,) place in ``MeasuredQuantity.left_out`` of the rule that left it out, -1 for those that were kept.
    area_m2 : ndarray
        (n,) what it swept.
    ground : ndarray
        (n,) shapely multi-polygons, degrees WGS 84, empty for one that stood.
    """

    log: tuple[str, ...]
    record: NDArray[np.intp]
    time: NDArray[np.datetime64]
    value: NDArray[np.float64]
    moisture: NDArray[np.float64]
    rule: NDArray[np.intp]
    area_m2: NDArray[np.float64]
    ground: NDArray[Any]


def nothing() -> MeasuredGround | None:
    """Return the ground of a quantity whose records are not to be drawn."""
    return None


@short_repr
@dataclass(frozen=True, eq=False)
class MeasuredQuantity:
    """A measured quantity; values are physical ones of the dictionary's ``shown_ddi``, see ``Coverage.measured``.

    Parameters
    ----------
    ddi : int
        What was logged.
    parts : tuple of str
        Identifiers of what measured it.
    shown_ddi : int
        The quantity of the values: of a yield by time that by area.
    records : int
        How many were at work.
    left_out : tuple of LeftOut
        Every rule, in the order in which they are asked.
    kept : int
    area_m2 : float
        Ground of the records that were kept.
    mean, minimum, maximum : float or None
        The mean by ground; None where nothing was kept.
    total : float or None
        Of a yield, product on all worked ground: the mean of each cell times the ground of the cell that was worked,
        counted once; cells without a record that was kept have the mean of all.
    logged_total : float or None
        Product by the machine's own counter, as it was harvested; None where it logged none.
    moisture : float or None
        Mean logged moisture of the records kept, weighted by ground, 0 to 1; None where none was logged.
    standard_moisture : float or None
        The moisture that values and ``total`` were brought to; None: they are as logged.
    total_as_logged : float or None
        ``total`` at the moisture of the harvest.
    delay_s : float or None
        Seconds after its record from which on a value was taken to hold; None: as the machine states, else none.
    cell_m : float
        Side of the cells.
    quads, value : ndarray
        (m, 4, 2) outlines of the ground of the records kept, in metres of ``Coverage.plane``, and (m,) their value.
    middle : ndarray
        (k, 2) the middle of the ground of each record kept.
    draw : callable
        Returns the ground of each record.
    """

    ddi: int
    parts: tuple[str, ...]
    shown_ddi: int
    records: int
    left_out: tuple[LeftOut, ...]
    kept: int
    area_m2: float
    mean: float | None
    minimum: float | None
    maximum: float | None
    total: float | None
    logged_total: float | None
    moisture: float | None
    standard_moisture: float | None
    total_as_logged: float | None
    delay_s: float | None
    cell_m: float
    quads: NDArray[np.float64]
    value: NDArray[np.float64]
    middle: NDArray[np.float64]
    draw: Callable[[], MeasuredGround | None] = made(default=nothing, repr=False)
