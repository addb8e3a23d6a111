"""Offsets and widths of parts at every record: constants of the description, or the latest logged value."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np

from taskdata.fieldwork.implement import CONTACT_M
from taskdata.fieldwork.logs.logged_values import ACTUAL_WIDTH, Values
from taskdata.fieldwork.part_tree import Tree, constant
from taskdata.geometry.arrays import Floats
from taskdata.model.machines import Part, PartKind

OFFSET_X, OFFSET_Y = 134, 135
MAXIMUM_WIDTH, DEFAULT_WIDTH = 70, 68
WIDTHS = (ACTUAL_WIDTH, MAXIMUM_WIDTH, DEFAULT_WIDTH)
"""In the order in which a width is looked for (ISO 11783-10, F.3.5)."""

_LONGEST_MM = 1000 * CONTACT_M

Metres: TypeAlias = float | Floats
"""A number, or (n,) metres where it changes from record to record."""


def metres(values: Values, part: Part, ddi: int) -> Metres | None:
    """Return a length that a part gives, None where neither description nor log does.

    Before its first logged value that value holds. A value that no machine has, such as one that stands for "not
    available", does not count.
    """
    held = values.held(ddi, part.id)
    if held is not None:
        usable = np.flatnonzero(held.known & (np.abs(held.value) <= _LONGEST_MM))
        if len(usable):
            latest = usable[np.maximum(np.searchsorted(usable, np.arange(values.count), side="right") - 1, 0)]
            found = held.value[latest] / 1000.0
            return float(found[0]) if bool((found == found[0]).all()) else np.asarray(found)
    return _stated(part, ddi)


def _stated(part: Part, ddi: int) -> float | None:
    """Return a length that the description gives."""
    given = constant(part, ddi)
    return None if given is None or abs(given) > _LONGEST_MM else given / 1000.0


def width(values: Values, part: Part) -> Metres | None:
    """Return the width of a part: actual, else maximum, else default.

    The actual width of a boom is the sum of the sections that are on; where it is a single bar and its actual width
    is 0 at times, those are times when it is off.
    """
    for ddi in WIDTHS:
        for found in (metres(values, part, ddi), _stated(part, ddi)):
            if found is not None and np.max(found) > 0.0:
                return np.maximum(found, 0.0) if isinstance(found, np.ndarray) else found
    return None


def offset_x(values: Values, tree: Tree, part: Part) -> Metres:
    """Return how far forward of the reference point a part lies; one that does not say so takes it from above."""
    for item in tree.upwards(part):
        found = metres(values, item, OFFSET_X)
        if found is not None:
            return found
        if item.kind is PartKind.DEVICE:
            break
    return 0.0


def offset_y(values: Values, part: Part) -> Metres | None:
    """Return how far right of the reference point the middle of a part lies, None where it does not say so."""
    return metres(values, part, OFFSET_Y)
