"""What is said of a page that was written."""

from __future__ import annotations

from taskdata.reports import words
from taskdata.reports.reading import unread_lines
from taskdata.reports.styled import Line, wrapped
from taskdata.results.reporting import Reported

CAUTION = (
    "The page shows data; it cannot tell whether a line, a boundary or a rate is right for your field. Check the first "
    "pass by eye, and obey the product label."
)


def report_text(result: Reported) -> list[Line]:
    """Return what was written, how much the page lists, and what could not be read."""
    counts = [words.counted(count, severity) for severity, count in result.summary.items() if count]
    lines = [Line(f"{result.source} -> {result.target}", "heading")]
    lines += wrapped(f"The page lists {', '.join(counts)}." if counts else "The check found nothing.")
    unread = unread_lines(result.findings)
    lines += [Line(""), *unread] if unread else []
    return [*lines, Line(""), *wrapped(CAUTION, style="quiet")]
