"""The parts of each field: its outer rings with their holes, in metres."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.checks._field_shapes import FieldShape, field_shapes
from taskdata.checks.subject import Subject
from taskdata.geometry.areas import GroundPart, in_plane, outlines


def parts(subject: Subject) -> Iterator[tuple[FieldShape, NDArray[Any]]]:
    """Yield each field of more than one part, with its parts as shapes in metres of its plane."""
    fields = field_shapes(subject)
    for at in range(len(fields)):
        if sum(len(area.exteriors) for area in fields.field(at).boundaries) > 1:
            plot = fields[at]
            found = outlines(plot.field.boundaries).polygons
            shapes = [in_plane([GroundPart([outer], holes)], plot.plane).shape for outer, holes in found]
            kept = [shape for shape in shapes if shape is not None]
            if len(kept) > 1:
                yield plot, np.array(kept, dtype=object)


def gaps(shapes: NDArray[Any]) -> NDArray[np.float64]:
    """Return (n,) how many metres lie between each of several shapes and the nearest of the others."""
    tree = shapely.STRtree(shapes)
    (index, _), distances = tree.query_nearest(shapes, exclusive=True, all_matches=False, return_distance=True)
    found = np.zeros(len(shapes))
    found[index] = distances
    return found
