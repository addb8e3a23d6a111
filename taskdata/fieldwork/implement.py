"""What a user says of an implement and of the way to compute."""

from __future__ import annotations

import math
from dataclasses import fields
from enum import StrEnum

from taskdata.amounts import plain
from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.records import short_repr

CONTACT_M = 5000.0
"""No implement is wider or longer than this, so that a slip of the keyboard is noticed."""

_WORST_M = 20.0


@short_repr
@dataclass(frozen=True, slots=True)
class Implement:
    """An implement given by hand, in metres; None leaves it to the device description.

    Parameters
    ----------
    width_m : float or None
        Working width: one bar without sections, in place of those described.
    overlap_m, skip_m : float
        By how much neighbouring passes are meant to overlap, or to leave a gap.
    offset_right_m, offset_back_m : float or None
        From the positioning device to the middle of the bar, right and back positive; with ``trailed_m``, back to the
        hitch.
    trailed_m : float or None
        From the hitch back to the bar of a trailed implement, which follows its hitch.
    axle_m : float or None
        From the positioning device back to the rear axle, which rolls without slip; None = as described, else 0.
    """

    width_m: float | None = None
    overlap_m: float = 0.0
    skip_m: float = 0.0
    offset_right_m: float | None = None
    offset_back_m: float | None = None
    trailed_m: float | None = None
    axle_m: float | None = None

    def __post_init__(self) -> None:
        """Refuse what no implement can be.

        Raises
        ------
        UsageError
            A number is not finite, negative where it may not be, or leaves no effective width.
        """
        for item in fields(self):
            value = getattr(self, item.name)
            words = item.name.removesuffix("_m").replace("_", "-")
            if value is not None and not (math.isfinite(value) and abs(value) <= CONTACT_M):
                raise UsageError(f"{words} cannot be {plain(value)} m", remedy=f"Give metres, up to {CONTACT_M:g}")
            if value is not None and value < 0.0 and not item.name.startswith(("offset", "axle")):
                raise UsageError(f"{words} cannot be negative ({plain(value)} m)", remedy="Give metres from 0")
        if self.width_m == 0.0:
            raise UsageError("the working width cannot be 0 m", remedy="Give the width in metres")
        if self.overlap_m and self.skip_m:
            raise UsageError("passes either overlap or leave a gap, not both", remedy="Give overlap or skip")
        if self.width_m is not None and self.overlap_m >= self.width_m:
            raise UsageError("the overlap leaves nothing of the width", remedy="Give an overlap below the width")

    @property
    def placed(self) -> bool:
        """Whether the user says where the bar is."""
        return self.offset_right_m is not None or self.offset_back_m is not None

    def spacing(self, width: float) -> float:
        """Return the distance from one pass to the next in metres: the effective width."""
        return width - self.overlap_m + self.skip_m


LONGEST_DELAY_S = 600.0
"""No machine takes longer from a command to its effect."""


class Switching(StrEnum):
    """Where between two records a state changes that differs in them: at the later one, or half way."""

    RECORD = "record"
    MIDDLE = "middle"


MEASURED_CELL_M = 10.0
"""Side of the cells that yields are averaged over where none is given: about a header's width (common practice)."""


@short_repr
@dataclass(frozen=True, slots=True)
class Measuring:
    """Which measured quantity to clean.

    Parameters
    ----------
    quantity : str
        Its number in the data dictionary as four hexadecimal digits, its name, or words of it, such as ``yield``.
    standard_moisture : float or None
        Bring a mass of crop to this share of water, 0 to below 1.
    delay_s : float or None
        Seconds after its record from which on the quantity holds on the ground: negative where crop is measured after
        it was cut; None = as the machine states. States are not moved by it.
    cell_m : float
        Side of the cells that it is averaged over.
    """

    quantity: str
    standard_moisture: float | None = None
    delay_s: float | None = None
    cell_m: float = MEASURED_CELL_M

    def __post_init__(self) -> None:
        """Refuse what cannot be.

        Raises
        ------
        UsageError
            The moisture is no share, or a cell has no size.
        """
        if self.standard_moisture is not None and not 0.0 <= self.standard_moisture < 1.0:
            raise UsageError(
                f"a moisture cannot be {plain(100.0 * self.standard_moisture)} %", remedy="Give per cent, such as 14"
            )
        _check_delay(self.delay_s)
        check_cell(self.cell_m)


@short_repr
@dataclass(frozen=True, slots=True)
class Settings:
    """How to compute.

    Parameters
    ----------
    implement : Implement
        What the user says of the implement.
    cell_m : float or None
        Count on a raster with cells of this size; None = exactly, with polygons.
    ignore_under_m2 : float
        Places smaller than this are counted but not drawn.
    heading_over_m : float
        Length of the stretch of path that gives the heading.
    device : str or None
        Count only this machine or part of one, by identifier or name.
    delay_s : float or None
        Seconds after its record from which on a measured value holds, negative before it, whatever machines state.
    switching : Switching
    accuracy_m : float or None
        Standard deviation of a position, in metres; None = what is usual for the kind of fix that the log tells.
    measuring : Measuring or None
        A measured quantity to clean.
    """

    implement: Implement = Implement()
    cell_m: float | None = None
    ignore_under_m2: float = 1.0
    heading_over_m: float = 3.0
    device: str | None = None
    delay_s: float | None = None
    switching: Switching = Switching.RECORD
    accuracy_m: float | None = None
    measuring: Measuring | None = None

    def __post_init__(self) -> None:
        """Refuse sizes that are none.

        Raises
        ------
        UsageError
            A size is not finite, negative, or 0 where it may not be.
        """
        if self.cell_m is not None:
            check_cell(self.cell_m)
        _check_delay(self.delay_s)
        if self.accuracy_m is not None and not 0.0 <= self.accuracy_m <= _WORST_M:
            raise UsageError(
                f"positions cannot have an accuracy of {plain(self.accuracy_m)} m", remedy=f"Give 0 to {_WORST_M:g} m"
            )
        if not (math.isfinite(self.ignore_under_m2) and self.ignore_under_m2 >= 0.0):
            raise UsageError(
                f"the smallest spot cannot be {plain(self.ignore_under_m2)} m²", remedy="Give square metres from 0"
            )
        if not (math.isfinite(self.heading_over_m) and self.heading_over_m > 0.0):
            raise UsageError(
                f"the distance for a heading cannot be {plain(self.heading_over_m)} m", remedy="Give metres, such as 3"
            )


def check_cell(cell_m: float) -> None:
    """Raise `UsageError` for a size that no cell can have."""
    if not 0.01 <= cell_m <= 100.0:
        raise UsageError(f"a cell cannot have {plain(cell_m)} m", remedy="Give 0.01 to 100 m, such as 0.25")


def _check_delay(delay_s: float | None) -> None:
    """Raise `UsageError` for a delay that no machine has."""
    if delay_s is not None and not abs(delay_s) <= LONGEST_DELAY_S:
        raise UsageError(
            f"a delay cannot be {plain(delay_s)} s",
            remedy=f"Give seconds from -{LONGEST_DELAY_S:g} to {LONGEST_DELAY_S:g}",
        )
