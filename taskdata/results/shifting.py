"""What a shift gives: the estimate, and what moved."""

from __future__ import annotations

from taskdata.dataclass import dataclass
from taskdata.records import short_repr
from taskdata.results.conversion import Conversion

MANY = {"boundary": "boundaries", "line": "lines", "point": "points", "pass": "passes"}
"""What is compared, and the same for several."""


@short_repr
@dataclass(frozen=True, slots=True)
class DriftAxis:
    """One direction of a shift: its heading in [0, 180), metres along it and their uncertainty, None = not known."""

    heading_deg: float
    value_m: float | None
    uncertainty_m: float | None


@short_repr
@dataclass(frozen=True, slots=True)
class Drift:
    """The shift that moves one set onto another.

    Parameters
    ----------
    east_m, north_m : float or None
        Metres; None where they depend on a direction that is not determined.
    uncertainty_east_m, uncertainty_north_m : float or None
        Metres within which the truth lies, for east and north together, in 95 % of cases (Hotelling's T² from the
        scatter of whole lines); None where too few lines tell.
    vector : tuple of float
        East and north of the part that is determined: the shortest shift that fits.
    axes : tuple of DriftAxis
        Two at right angles, the better determined one first; each uncertainty holds for itself in 95 % of cases.
    compared : tuple of (str, int)
        What was compared: ``boundary``, ``line``, ``point`` or ``pass``, and how many.
    places : int
        How many places of them count.
    scatter_m : float
        Robust standard deviation of what remains.
    share : float
        Share of the things compared that agree with the shift.
    datum : bool
        Whether it is probably a difference of datum: common to the whole set, and of the usual size.
    """

    east_m: float | None
    north_m: float | None
    uncertainty_east_m: float | None
    uncertainty_north_m: float | None
    vector: tuple[float, float]
    axes: tuple[DriftAxis, DriftAxis]
    compared: tuple[tuple[str, int], ...]
    places: int
    scatter_m: float
    share: float
    datum: bool

    @property
    def undetermined_deg(self) -> tuple[float, ...]:
        """Headings, in [0, 180), along which the shift cannot be determined."""
        return tuple(axis.heading_deg for axis in self.axes if axis.value_m is None)


@short_repr
@dataclass(frozen=True, slots=True)
class Shifted:
    """What a shift did, or would do.

    Parameters
    ----------
    east_m, north_m : float
        By how much things moved.
    moved : dict of str to int
        How many fields, lines, areas, points, zones, grids and logs moved, and how many guidance shifts were added.
    drift : Drift or None
        The estimate, where there was one.
    written : Conversion
        What the target holds, and the ledger.
    """

    east_m: float
    north_m: float
    moved: dict[str, int]
    drift: Drift | None
    written: Conversion
