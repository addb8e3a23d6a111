"""Some rows from all over a layer, enough to tell where on Earth it lies."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import shapely

from taskdata.dataclass import dataclass
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.geometries.decoding import decoded
from taskdata.formats.some_rows import some_rows
from taskdata.geometry.arrays import Points

_ROWS = 500
_MOST_LON, _MOST_LAT = 360.0, 90.0
_MOST = 1e9
"""No system on Earth has larger numbers: what is beyond is no position."""
STRAY = 0.1
"""Which share of the rows of a layer may lie beyond all degrees, or far from the others; common practice."""


@dataclass(frozen=True)
class Sample:
    """Rows of a layer with their shapes, and all their coordinates that may be positions, as they stand in the file."""

    raw: RawTable
    shapes: Any
    xy: Points

    @property
    def middle(self) -> tuple[float, float]:
        """The median of the coordinates, which a few rows astray do not move."""
        x, y = np.median(self.xy, axis=0).tolist()
        return x, y

    @property
    def is_degrees(self) -> bool:
        """Whether coordinates may be longitude and latitude."""
        return self._share_within(_MOST_LON, _MOST_LAT) >= 1.0 - STRAY

    @property
    def is_swapped_degrees(self) -> bool:
        """Whether coordinates may be latitude and longitude."""
        return self._share_within(_MOST_LAT, _MOST_LON) >= 1.0 - STRAY

    def turned(self, crs: str) -> Sample:
        """Return the rows with their coordinates in the other order, in a system."""
        shapes = shapely.transform(self.shapes, lambda points: points[:, ::-1])
        return Sample(replace(self.raw, crs=crs), shapes, self.xy[:, ::-1])

    def _share_within(self, most_x: float, most_y: float) -> float:
        return float(((np.abs(self.xy[:, 0]) <= most_x) & (np.abs(self.xy[:, 1]) <= most_y)).mean())


def sample_of(raw: RawTable) -> Sample | None:
    """Return a sample of a layer, None where it has no coordinates."""
    if GEOMETRY not in raw.table.column_names or raw.table.num_rows == 0:
        return None
    some = replace(raw, table=some_rows(raw.table, _ROWS), numbers=None)
    _, shapes, _ = decoded(some)
    xy = shapely.get_coordinates(shapes)
    with np.errstate(invalid="ignore"):
        xy = xy[(np.abs(xy) <= _MOST).all(axis=1)]
    return Sample(some, shapes, xy) if len(xy) else None
