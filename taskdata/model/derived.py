"""Boundaries that no one drew: outlines made of where work was done, marked as such by their name.

The name says the interval of the area, so that the mark stays in every format, task data included.
"""

from __future__ import annotations

import math
import re

from taskdata.model.fields import Field

_MARK = re.compile(r"derived, (\d+) to (\d+) m²")


def derived_name(low_m2: float, high_m2: float) -> str:
    """Return the name of a derived boundary whose area lies between two sizes."""
    return f"derived, {max(0, math.floor(low_m2))} to {math.ceil(high_m2)} m²"


def derived_interval(field: Field) -> tuple[float, float] | None:
    """Return the interval of the area of a field whose boundary is derived, in square metres; None of any other."""
    found = [_MARK.fullmatch(area.name or "") for area in field.boundaries]
    told = next((match for match in found if match is not None), None)
    return None if told is None else (float(told[1]), float(told[2]))
