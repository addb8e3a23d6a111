"""How coordinates were brought to WGS 84, for a person."""

from __future__ import annotations

from collections.abc import Sequence

from taskdata.reports.styled import Line, wrapped
from taskdata.results.reading import Datum

_SHOWN = 5


def datum_lines(changes: Sequence[Datum]) -> list[Line]:
    """Return a paragraph for each system; nothing where all coordinates were in WGS 84 and are as they were."""
    if not any(change.moved for change in changes):
        return []
    return [line for change in changes for line in _paragraph(change, alone=len(changes) == 1)]


def _paragraph(change: Datum, *, alone: bool) -> list[Line]:
    """Return what was done to the layers of one system; they are named where there are other systems."""
    known = "unknown" if change.accuracy_m is None else f"{change.accuracy_m:g} m"
    more = len(change.layers) - _SHOWN
    rest = f" and {more} more" if more > 0 else ""
    which = "" if alone else f" of {', '.join(change.layers[:_SHOWN])}{rest}"
    made = f"from {change.source} to {change.target} (WGS 84) by {change.operation}, accuracy {known}"
    done = made if change.moved else f"in {change.source}, left as they are"
    note = f" {change.note}" if change.note else ""
    return wrapped(f"Coordinates{which}: {done}.{note}", hanging=2)
