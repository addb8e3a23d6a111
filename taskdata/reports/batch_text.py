"""The summary of a batch for a person."""

from __future__ import annotations

from collections.abc import Sequence

from taskdata.amounts import counted
from taskdata.reports.batch_json import FAILED, batch_totals
from taskdata.reports.styled import Line, wrapped
from taskdata.results.batch import Batch, BatchedSource

_SHOWN = 20
_NOUNS = {"error": "errors", "warning": "warnings", "note": "notes"}
CAUTION = (
    "A batch reads data; it cannot tell whether a line or a rate is right for a field. Drive the first pass by eye, "
    "keep people clear, and obey the product label and local rules."
)


def batch_text(result: Batch) -> list[Line]:
    """Return the totals, the sources without a result, and where the rest is."""
    totals = batch_totals(result)
    parts = [counted(totals["sources"], "source")]
    if totals["kept"]:
        parts.append(f"{totals['kept']} finished before")
    lines = [Line(f"{result.command} -> {result.out}", "heading"), *wrapped(f"{', '.join(parts)}.")]
    looked = totals["exit"].get("1", 0)
    if looked:
        lines += wrapped(f"To look at: {looked} (exit code 1).")
    if totals["counts"]:
        told = (f"{_NOUNS.get(name, name.replace('_', ' '))} {count}" for name, count in totals["counts"].items())
        lines += wrapped(f"In all: {', '.join(told)}.", hanging=2)
    failed = [item for item in result.sources if item.exit >= FAILED]
    lines += failed_lines(failed, "Without a result", "source", "summary.csv")
    for warning in result.warnings:
        lines += wrapped(f"WARNING  {warning}", style="warning", hanging=2)
    return [
        *lines,
        Line(""),
        *wrapped("Written: a result each in results; summary.json, summary.csv and summary.parquet."),
        Line(""),
        *wrapped(CAUTION, style="quiet"),
    ]


def failed_lines(failed: Sequence[BatchedSource], heading: str, noun: str, where: str) -> list[Line]:
    """Return the sources that could not be done and why, the first of them; ``where`` lists the rest."""
    if not failed:
        return []
    lines = [Line(""), Line(f"{heading} ({counted(len(failed), noun)})", "error")]
    for item in failed[:_SHOWN]:
        lines += wrapped(item.error or item.source, 2, hanging=2)
    if len(failed) > _SHOWN:
        lines += wrapped(f"{len(failed) - _SHOWN} more are in {where}.", 2)
    return lines
