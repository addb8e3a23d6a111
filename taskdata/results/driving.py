"""How straight and how evenly was driven: pass-to-pass error, and cross-track error against a guidance line."""

from __future__ import annotations

from enum import StrEnum

from taskdata.dataclass import dataclass
from taskdata.records import short_repr


class AccuracyClass(StrEnum):
    """The usual classes of pass-to-pass accuracy (orders of magnitude, common practice)."""

    RTK = "rtk"
    CORRECTED = "corrected"
    PLAIN = "plain"
    BELOW = "below"


_CLASS_LIMITS = ((0.05, AccuracyClass.RTK), (0.30, AccuracyClass.CORRECTED), (1.0, AccuracyClass.PLAIN))
"""Largest 95th percentile in metres of each class: half as much again as the figure that is usual for it."""


@short_repr
@dataclass(frozen=True, slots=True)
class PassToPass:
    """Pass-to-pass error after ISO 12188-1.

    Parameters
    ----------
    mean_abs_m, rms_m, p95_m : float
        Mean, root mean square and 95th percentile of the size of the error.
    mean_m : float
        Mean of the error with its sign, positive where passes lie farther apart than intended.
    pairs, places : int
        How many pairs of neighbouring passes, and how many places of them, were compared.
    spacing_m : float
        The spacing that errors are counted from: the one that was given; without it the width, or, where passes lie
        closer or farther all over, as with an overlap or a skip set in the cab, the mean of what was driven.
    spacing_stated : bool
        Whether the spacing was given.
    driven_m : float
        Mean distance of neighbouring passes.
    timed : bool
        Whether times were known; without them passes count however long they lie apart.
    uncertainty_m : float or None
        Metres within which ``mean_abs_m`` lies in 95 % of cases, from the scatter of the pairs; None with one pair.
    """

    mean_abs_m: float
    rms_m: float
    p95_m: float
    mean_m: float
    pairs: int
    places: int
    spacing_m: float
    spacing_stated: bool
    timed: bool
    uncertainty_m: float | None
    driven_m: float

    @property
    def accuracy(self) -> AccuracyClass:
        """The usual class that the 95th percentile falls into."""
        return accuracy_class(self.p95_m)


@short_repr
@dataclass(frozen=True, slots=True)
class CrossTrackError:
    """Cross-track error against a guidance line or the parallels of it; right of the line is positive.

    The figures are as in `PassToPass`; ``passes`` counts the passes that were compared, ``others`` those that run in
    the direction of the line but between its parallels, on average more than a fifth of the spacing away: those of
    a headland or of another line. They are left out.
    """

    mean_abs_m: float
    rms_m: float
    p95_m: float
    mean_m: float
    passes: int
    others: int
    places: int
    uncertainty_m: float | None


def accuracy_class(p95_m: float) -> AccuracyClass:
    """Return the usual class of pass-to-pass accuracy of a 95th percentile in metres."""
    return next((kind for limit, kind in _CLASS_LIMITS if p95_m <= limit), AccuracyClass.BELOW)


@short_repr
@dataclass(frozen=True, slots=True)
class LineFollowing:
    """The cross-track error of the middle of the implement against a guidance line.

    Parameters
    ----------
    line : str
        Identifier of the line, or its name.
    spacing_m : float or None
        Distance between the parallels of the line; each place counts against the nearest. None = the line alone.
    error : CrossTrackError or None
        None where no pass runs along the line.
    """

    line: str
    spacing_m: float | None
    error: CrossTrackError | None
