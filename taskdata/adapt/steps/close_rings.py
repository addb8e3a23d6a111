"""Rings are closed."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation
from taskdata.adapt.points import repeat_first
from taskdata.isoxml.to_model.shapes import RingKind


def close_rings(work: Adaptation) -> None:
    """Repeat the first point of every ring at its end where that is missing (R-258)."""
    kinds = {str(int(kind)) for kind in RingKind}
    for string in work.tagged("LSG"):
        if string.get("LineStringType") in kinds and repeat_first(string):
            work.alter(string, "ring is closed by repeating its first point", f"version {work.target} requires it")
