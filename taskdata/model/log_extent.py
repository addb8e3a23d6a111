"""When and where a log was recorded."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Points, as_points
from taskdata.records import short_repr


@short_repr
@dataclass(frozen=True, slots=True)
class LogExtent:
    """The times that a log covers, and the box around its positions.

    Parameters
    ----------
    start, end : datetime64[ms] or None
        First and last local time; None where no record has one.
    frame : float64 (3, 2) or None
        Of the positions that can be true: the first, and the least and greatest longitude and latitude in degrees,
        longitudes by at most half a turn from the first one's; None where there is none.
    """

    start: np.datetime64 | None = None
    end: np.datetime64 | None = None
    frame: Points | None = None

    @classmethod
    def of(cls, time: NDArray[np.datetime64], lon: NDArray[np.float64], lat: NDArray[np.float64]) -> LogExtent:
        """Return the extent of records, (n,) each, NaT and NaN where not available."""
        known = time[~np.isnat(time)]
        start, end = (known.min(), known.max()) if len(known) else (None, None)
        return cls(start, end, frame_of(possible(np.column_stack([lon, lat]))))

    def joined(self, other: LogExtent) -> LogExtent:
        """Return the extent of these records and others that follow them."""
        starts = [item for item in (self.start, other.start) if item is not None]
        ends = [item for item in (self.end, other.end) if item is not None]
        frames = [item for item in (self.frame, other.frame) if item is not None]
        return LogExtent(
            min(starts, default=None), max(ends, default=None), frame_of(np.vstack(frames)) if frames else None
        )


def possible(places: Points) -> Points:
    """Return the places that lie on the Earth, and not at 0, 0, where a position stands that was never measured."""
    places = as_points(places)
    on_earth = (np.abs(places[:, 0]) <= 180.0) & (np.abs(places[:, 1]) <= 90.0)  # false for what is no number
    return places[on_earth & places.any(axis=1)]


def whole_turns_off(places: Points) -> Points:
    """Return places whose longitudes differ from the first one's by half a turn at most."""
    moved = places.copy()
    first = moved[0, 0]
    moved[:, 0] = first + (moved[:, 0] - first + 180.0) % 360.0 - 180.0
    return moved


def frame_of(places: Points) -> Points | None:
    """Return the first of some places, and the least and greatest of their coordinates, (3, 2); None of none."""
    if not len(places):
        return None
    moved = whole_turns_off(places)
    return np.vstack([moved[0], moved.min(axis=0), moved.max(axis=0)])
