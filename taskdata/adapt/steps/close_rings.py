"""Rings are closed."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation
from taskdata.adapt.points import repeat_first
from taskdata.isoxml.to_model.shapes import RingKind
from taskdata.phrases import phrase


def close_rings(work: Adaptation) -> None:
    """Repeat the first point of every ring at its end where that is missing (R-258)."""
    kinds = {str(int(kind)) for kind in RingKind}
    for string in work.tagged("LSG"):
        if string.get("LineStringType") in kinds and repeat_first(string):
            work.alter(
                string,
                phrase("ring is closed by repeating its first point"),
                phrase("version {target} requires it", target=work.target),
            )
