"""What a call added to a catalogue, for a person."""

from __future__ import annotations

from taskdata.amounts import counted
from taskdata.reports.batch_json import FAILED, batch_totals
from taskdata.reports.batch_text import failed_lines
from taskdata.reports.styled import Line, wrapped
from taskdata.results.batch import Batch

CAUTION = (
    "A catalogue shows what sets hold; it cannot tell whether a line or a boundary is right for a field. Check the "
    "first pass by eye before you steer by either."
)


def catalogue_text(result: Batch) -> list[Line]:
    """Return how many sets and rows came in, and what could not be read."""
    totals = batch_totals(result)
    parts = [counted(totals["sources"], "set")]
    if totals["kept"]:
        parts.append(f"{totals['kept']} already in the catalogue")
    lines = [Line(f"catalogue -> {result.out}", "heading"), *wrapped(f"{', '.join(parts)}.")]
    if totals["counts"]:
        told = (f"{name} {count}" for name, count in totals["counts"].items())
        lines += wrapped(f"Rows added: {', '.join(told)}.", hanging=2)
    elif totals["failed"] < totals["sources"]:
        lines += wrapped("Nothing to add.")
    partly = [item.source for item in result.sources if item.exit == 1]
    if partly:
        lines += wrapped(f"Read in part (see check): {', '.join(partly)}.", hanging=2)
    failed = [item for item in result.sources if item.exit >= FAILED]
    lines += failed_lines(failed, "Not read", "set", "the layer sets")
    return [*lines, Line(""), *wrapped(CAUTION, style="quiet")]
