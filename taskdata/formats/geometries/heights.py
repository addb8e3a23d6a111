"""Heights in layers: those of points are kept, in metres; what they refer to is told where it is not known."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import shapely

from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable
from taskdata.formats.geometries.decoding import with_shapes
from taskdata.geometry.transform import Transformation
from taskdata.raised_rules.import_.heights_left_out import RULE as HEIGHTS_LEFT_OUT

_ELLIPSOIDAL = "Ellipsoidal height"
_METRE = "metre"


def judged(raw: RawTable, shapes: Any, conversion: Transformation) -> tuple[RawTable, Any, list[Finding]]:
    """Return a table and its shapes with heights in metres, and what it says that they refer to.

    Heights beside coordinates in another length are left out, since they may be in either.
    """
    high = shapely.has_z(shapes)
    if not high.any():
        return raw, shapes, []
    stated = conversion.heights
    if stated is not None:
        known = stated.name == _ELLIPSOIDAL
        raw = replace(raw, heights=None if known else f"it states {stated.name.lower()}")
        if stated.metres == 1.0:
            return raw, shapes, []
        scale = np.array([1.0, 1.0, stated.metres])
        shapes = shapes.copy()
        shapes[high] = shapely.transform(shapes[high], lambda xyz: xyz * scale, include_z=True)
        return with_shapes(raw, shapes), shapes, []
    if conversion.is_projected and conversion.unit != _METRE:
        why = f"its coordinates are in {conversion.unit}, and it does not say whether the heights are too"
        told = HEIGHTS_LEFT_OUT.at(Place(file=raw.file), layer=raw.label, reason=why)
        shapes = shapely.force_2d(shapes)
        return with_shapes(raw, shapes), shapes, [told]
    return raw, shapes, []
