"""What ends an inspection of several sources."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from taskdata.amounts import counted
from taskdata.reports.check_totals import sources_text
from taskdata.reports.inspect_text import Units, area_text
from taskdata.reports.styled import Line, wrapped


def inspect_totals(documents: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """Return how much of everything several sources hold, those left out that could not be read.

    Parameters
    ----------
    documents : sequence of dict
        Those of ``inspect_document``; one with an ``error`` stands for a source that could not be read, one with
        ``items`` for one that was surveyed.
    """
    read = [item for item in documents if "fields" in item]
    surveyed = [item for item in documents if "items" in item]
    fields = [field for item in read for field in item["fields"]]
    tasks = [task for item in read for task in item["tasks"]]
    lengths = [log["records"] for task in tasks for log in task["logs"]]
    known = [length for length in lengths if length is not None]
    return {
        "sources": len(documents),
        "unreadable": len(documents) - len(read) - len(surveyed),
        "surveyed": len(surveyed),
        "fields": len(fields),
        "area_m2": math.fsum(field["area_m2"] for field in fields),
        "guidance": sum(len(item["guidance"]) for item in read),
        "machines": sum(len(item["machines"]) for item in read),
        "tasks": len(tasks),
        "logs": len(known),
        "log_records": sum(known),
        "unread": sum(len(item["unread"]) for item in (*read, *surveyed)),
    }


def inspect_total_lines(documents: Sequence[dict[str, Any]], units: Units) -> list[Line]:
    """Return the totals of an inspection in words; what stands in several sources counts in each."""
    totals = inspect_totals(documents)
    parts = [
        f"{counted(totals['fields'], 'field')} ({area_text(totals['area_m2'], units)})",
        counted(totals["guidance"], "guidance line"),
        counted(totals["machines"], "machine"),
        counted(totals["tasks"], "task"),
        f"{counted(totals['logs'], 'log')} ({totals['log_records']:,} records)",
    ]
    text = f"{sources_text(totals)}: {', '.join(parts)}. What stands in several sources counts in each."
    if totals["surveyed"]:
        text += f" Of {counted(totals['surveyed'], 'source')} that hold several things nothing is counted."
    if totals["unread"]:
        text += f" {counted(totals['unread'], 'file')} could not be read."
    return [Line("Total", "heading"), *wrapped(text, hanging=2)]


def inspect_documents(documents: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """Return the document of several sources: one each, and the totals."""
    return {"sources": list(documents), "totals": inspect_totals(documents)}
