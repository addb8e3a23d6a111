"""Polygons of layers that cross or touch themselves: told, and taken over as they are."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from taskdata.findings import Finding, Place
from taskdata.formats import part_rules
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY

_WHAT = {
    "Self-intersection": "crosses itself",
    "Ring Self-intersection": "touches or crosses itself",
    "Hole lies outside shell": "has a hole outside of its outline",
    "Holes are nested": "has a hole in a hole",
    "Interior is disconnected": "is cut apart by its holes",
    "Nested shells": "has a part in a part",
    "Duplicate Rings": "has the same ring twice",
}
"""GEOS's reasons in plain words; what is not among them is not about crossing."""


def crossings(raw: RawTable) -> Iterator[Finding]:
    """Yield a finding for each polygon of a table, in WGS 84, that is not valid, at the first place where it is not."""
    if GEOMETRY not in raw.table.column_names:
        return
    records = np.empty(raw.table.num_rows, dtype=object)
    records[:] = raw.table[GEOMETRY].to_pylist()
    found = shapely.from_wkb(records, on_invalid="ignore")
    areal = shapely.get_dimensions(found) == 2
    for row in np.flatnonzero(areal & ~shapely.is_valid(found)).tolist():
        reason, _, spot = shapely.is_valid_reason(found[row]).partition("[")
        if reason in _WHAT:
            lon, lat = (float(number) for number in spot.rstrip("]").split()[:2])
            place = Place(file=raw.file, record=row, location=(lon, lat))
            yield part_rules.SELF_CROSSING.at(place, row=row + 1, layer=raw.label, what=_WHAT[reason])
