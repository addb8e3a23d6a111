"""Geometries of many records made of areas, those of one plain ring all at once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from taskdata.formats.geometries import shapes
from taskdata.geometry.plain_rings import are_plain, polygons
from taskdata.model.shapes import Area


def multipolygons(records: Sequence[Sequence[Area]]) -> list[bytes | None]:
    """Return of each record's areas what ``to_wkb(multipolygon(areas))`` of `shapes` returns, in the same bytes.

    Records of one area of one ring that lies on one side of the antimeridian, and runs round ground without doubt, are
    made together, which takes a tenth of the time.
    """
    found: list[bytes | None] = [None] * len(records)
    single = [at for at, areas in enumerate(records) if _is_single(areas)]
    rings = [records[at][0].exteriors[0] for at in single]
    plain = are_plain(rings).tolist()
    chosen = [at for at, is_plain in zip(single, plain, strict=True) if is_plain]
    if chosen:
        whole = polygons([ring for ring, is_plain in zip(rings, plain, strict=True) if is_plain])
        made = shapely.to_wkb(shapely.multipolygons(whole, indices=np.arange(len(whole))), byte_order=1)
        for at, record in zip(chosen, made.tolist(), strict=True):
            found[at] = record
    for at in set(range(len(records))).difference(chosen):
        found[at] = shapes.to_wkb(shapes.multipolygon(records[at]))
    return found


def _is_single(areas: Sequence[Area]) -> bool:
    return (
        len(areas) == 1 and len(areas[0].exteriors) == 1 and not areas[0].interiors and len(areas[0].exteriors[0]) > 2
    )
