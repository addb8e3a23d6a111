"""Polygons of layers that cross or touch themselves: told, and taken over as they are."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.geometries.decoding import shapes_in
from taskdata.raised_rules.import_.self_crossing import RULE as SELF_CROSSING

_WHAT = {
    "Self-intersection": "crosses itself",
    "Ring Self-intersection": "touches or crosses itself",
    "Hole lies outside shell": "has a hole outside of its outline",
    "Holes are nested": "has a hole in a hole",
    "Interior is disconnected": "is split by its holes",
    "Nested shells": "has a part in a part",
    "Duplicate Rings": "has the same ring twice",
}
"""GEOS's reasons in plain words; what is not among them is not about crossing."""


def own_crossings(raw: RawTable) -> Iterator[Finding]:
    """Yield a finding for each polygon of a layer of this program that is not valid."""
    if GEOMETRY in raw.table.column_names:
        with np.errstate(invalid="ignore"):
            yield from crossings(raw, shapes_in(raw.table[GEOMETRY]))


def crossings(raw: RawTable, found: Any) -> Iterator[Finding]:
    """Yield a finding for each polygon of rows, in WGS 84, that is not valid, at the first place where it is not."""
    areal = shapely.get_dimensions(found) == 2
    for row in np.flatnonzero(areal & ~shapely.is_valid(found)).tolist():
        reason, _, spot = shapely.is_valid_reason(found[row]).partition("[")
        if reason in _WHAT:
            lon, lat = (float(number) for number in spot.rstrip("]").split()[:2])
            number = raw.number(row)
            place = Place(file=raw.file, record=number - 1, location=(lon, lat))
            yield SELF_CROSSING.at(place, row=number, layer=raw.label, what=_WHAT[reason])
