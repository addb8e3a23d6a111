"""What was applied on which ground."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.records import short_repr


@short_repr
@dataclass(frozen=True, eq=False)
class SectionRuns:
    """What the sections of one machine swept in one log at one rate each, n runs; see ``Coverage.runs``.

    Parameters
    ----------
    device, log : str
        Name of the machine, and the file.
    ddi : int or None
        The actual rate; None where the log holds none for these sections.
    part : str or None
        Identifier of what delivers it.
    sections : tuple of (str, str or None) or None
        Identifier and name of each section; None for an implement that is given by hand.
    section : ndarray
        (n,) which section each run is of.
    rate, target : ndarray
        (n,) mean rate over the ground, and its setpoint, physical values by square metre; NaN where not known.
    begin, end : datetime64[ms]
        (n,) local time.
    area_m2 : ndarray
        (n,) what was swept, twice where it was swept twice.
    ground : ndarray
        (n,) shapely multi-polygons, degrees WGS 84, cut at 180 degrees.
    product : str or None
        Identifier of what was applied, where the task tells.
    """

    device: str
    log: str
    ddi: int | None
    part: str | None
    sections: tuple[tuple[str, str | None] | None, ...]
    section: NDArray[np.intp]
    rate: NDArray[np.float64]
    target: NDArray[np.float64]
    begin: NDArray[np.datetime64]
    end: NDArray[np.datetime64]
    area_m2: NDArray[np.float64]
    ground: NDArray[Any]
    product: str | None = None


@short_repr
@dataclass(frozen=True, eq=False)
class AppliedQuantity:
    """A quantity of a product that was applied, as m pieces of ground; see ``Coverage.applied``.

    Parameters
    ----------
    ddi : int or None
        The actual rate; None where no rate was logged.
    parts : tuple of str
        Identifiers of what delivered it.
    product : str or None
        Identifier, where the task tells.
    quads : ndarray
        (m, 4, 2) outlines in metres of ``Coverage.plane``, counter-clockwise; swept twice is there twice.
    rate, target : ndarray
        (m,) rate, and its setpoint (NaN where none was logged), physical values by square metre.
    """

    ddi: int | None
    parts: tuple[str, ...]
    product: str | None
    quads: NDArray[np.float64]
    rate: NDArray[np.float64]
    target: NDArray[np.float64]


@short_repr
@dataclass(frozen=True, slots=True)
class RasterBand:
    """A band of a raster that was written: what it holds, its unit, and the sum over its ground where that means some.

    ``total`` is in ``total_unit``, such as L for a band in L/ha.
    """

    description: str
    unit: str
    total: float | None = None
    total_unit: str | None = None


@short_repr
@dataclass(frozen=True, slots=True)
class WrittenRaster:
    """A raster that was written.

    Parameters
    ----------
    target : str
        The file.
    task : str
        Whose work it shows.
    cell_m : float
    columns, rows : int
    crs : str
        Name of its coordinate reference system.
    bands : tuple of RasterBand
    """

    target: str
    task: str
    cell_m: float
    columns: int
    rows: int
    crs: str
    bands: tuple[RasterBand, ...]


@short_repr
@dataclass(frozen=True, slots=True)
class ZoneFigures:
    """What was meant and what was applied in a zone of the rate map; rates are physical values by square metre.

    Parameters
    ----------
    code : int
        The zone.
    ddi : int
        The actual rate.
    product : str or None
        Identifier, where the task tells.
    area_m2 : float
        Ground of the zone that was worked, counted once.
    meant, applied : float
        Mean rate of the map, and of all sweeps together, on that ground.
    within_5, within_10 : float
        Share of that ground, 0 to 1, that got what was meant within 5 and within 10 %.
    """

    code: int
    ddi: int
    product: str | None
    area_m2: float
    meant: float
    applied: float
    within_5: float
    within_10: float

    @property
    def difference(self) -> float:
        """Applied less meant."""
        return self.applied - self.meant
