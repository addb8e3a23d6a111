"""What ends a check of several sources."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from taskdata.amounts import counted
from taskdata.findings import Severity
from taskdata.reports.styled import Line, wrapped
from taskdata.results.audit import Audited, UnreadSource


def check_totals(outcomes: Sequence[Audited]) -> dict[str, int]:
    """Return how many sources there are, how many could not be read, and the findings of the others by severity."""
    reports = [item for item in outcomes if not isinstance(item, UnreadSource)]
    found = {str(severity): sum(report.summary[severity] for report in reports) for severity in Severity}
    return {"sources": len(outcomes), "unreadable": len(outcomes) - len(reports), **found}


def check_total_lines(outcomes: Sequence[Audited]) -> list[Line]:
    """Return the totals of a check in words."""
    totals = check_totals(outcomes)
    parts = [counted(totals[severity], severity) for severity in Severity if totals[severity]]
    text = f"{sources_text(totals)}: {', '.join(parts) or 'nothing found'}."
    clean = sum(not isinstance(item, UnreadSource) and not any(item.summary.values()) for item in outcomes)
    if clean and parts:
        text += f" Nothing was found in {clean} of them."
    return [Line("Total", "heading"), *wrapped(text, hanging=2)]


def sources_text(totals: Mapping[str, int]) -> str:
    """Return how many sources there are, and how many of them could not be read."""
    text = counted(totals["sources"], "source")
    return f"{text}, {totals['unreadable']} of which could not be read" if totals["unreadable"] else text
