"""What a shift did, as the document of ``shift --json``, and in words."""

from __future__ import annotations

from typing import Any

from taskdata.reports.convert_json import loss_document
from taskdata.reports.convert_text import convert_text
from taskdata.reports.inspect_text import Units, length_text
from taskdata.reports.new_errors import new_errors_document
from taskdata.reports.reading import reading_document
from taskdata.reports.styled import Line, wrapped
from taskdata.results.conversion import Conversion
from taskdata.results.shifting import MANY, Drift, Shifted

DATUM = (
    "A shift of this size, shared by the whole set, is probably a datum difference (such as a national or continental "
    "frame against WGS 84, or plate motion since): find out which set is right before you move anything."
)


def shift_document(result: Shifted) -> dict[str, Any]:
    """Return the document of ``shift --json``."""
    written: Conversion = result.written
    return {
        "source": written.source,
        "target": written.target,
        "east_m": result.east_m,
        "north_m": result.north_m,
        "moved": dict(sorted(result.moved.items())),
        "estimate": None if result.drift is None else drift_document(result.drift),
        "losses": [loss_document(loss) for loss in written.losses],
        "new_errors": new_errors_document(written.new_errors),
        **reading_document(written.findings),
    }


def drift_document(drift: Drift) -> dict[str, Any]:
    """Return an estimate; None stands for what cannot be determined."""
    return {
        "east_m": drift.east_m,
        "north_m": drift.north_m,
        "uncertainty_east_m": drift.uncertainty_east_m,
        "uncertainty_north_m": drift.uncertainty_north_m,
        "undetermined_deg": list(drift.undetermined_deg),
        "axes": [
            {"heading_deg": axis.heading_deg, "value_m": axis.value_m, "uncertainty_m": axis.uncertainty_m}
            for axis in drift.axes
        ],
        "compared": dict(drift.compared),
        "places": drift.places,
        "scatter_m": drift.scatter_m,
        "share": drift.share,
        "probable_datum_difference": drift.datum,
    }


def shift_text(result: Shifted, units: Units = "metric", *, dry_run: bool = False) -> list[Line]:
    """Return what a shift did in lines of 80 columns."""
    moved = ", ".join(f"{name} {number}" for name, number in sorted(result.moved.items()) if number)
    way = f"{_metres(result.east_m, units)} east, {_metres(result.north_m, units)} north"
    if "shifts" in result.moved:
        lines = wrapped(
            f"Entered as a guidance shift: {way}; the lines stay in place. Added: {moved}.", style="heading"
        )
    else:
        lines = wrapped(f"Moved by {way}: {moved}.", style="heading")
    if result.drift is not None:
        lines = [*drift_lines(result.drift, units), Line(""), *lines]
    return [*lines, Line(""), *convert_text(result.written, dry_run=dry_run)]


def drift_lines(drift: Drift, units: Units = "metric") -> list[Line]:
    """Return an estimate in words: what is known, how well, and what cannot be known."""
    compared = ", ".join(f"{number} {kind if number == 1 else MANY[kind]}" for kind, number in drift.compared)
    lines = [Line("Estimated shift", "heading"), *wrapped(f"Compared: {compared}, at {drift.places} places.", 2)]
    if drift.undetermined_deg:
        for axis in drift.axes:
            heading = f"{axis.heading_deg:.1f}° and {axis.heading_deg + 180.0:.1f}°"
            if axis.value_m is None:
                text = f"Along {heading}: cannot be determined, since everything compared runs that way; not moved."
                lines += wrapped(text, 2, style="warning", hanging=2)
            else:
                known = f"{_metres(axis.value_m, units)}{_within(axis.uncertainty_m, units)}"
                lines += wrapped(f"Towards {axis.heading_deg:.1f}°: {known}.", 2, hanging=2)
    else:
        for word, value, half in (
            ("East", drift.vector[0], drift.uncertainty_east_m),
            ("North", drift.vector[1], drift.uncertainty_north_m),
        ):
            lines += wrapped(f"{word}: {_metres(value, units)}{_within(half, units)}.", 2, hanging=2)
    text = (
        f"{drift.share:.0%} of what was compared agrees, with a remaining scatter of {_metres(drift.scatter_m, units)}."
    )
    lines += wrapped(text, 2, hanging=2)
    return lines + (wrapped(DATUM, 2, style="warning", hanging=2) if drift.datum else [])


def _metres(value: float, units: Units) -> str:
    return length_text(round(value, 4) + 0.0, units, 3)


def _within(half: float | None, units: Units) -> str:
    return " (too few lines to say how well)" if half is None else f" ± {_metres(half, units)} (95 %)"
