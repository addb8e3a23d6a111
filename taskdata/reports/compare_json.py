"""What differs between two sets, as JSON."""

from __future__ import annotations

from typing import Any

from taskdata.reports.reading import reading_document
from taskdata.results.comparison import Comparison


def compare_document(result: Comparison) -> dict[str, Any]:
    """Return the document of ``compare --json``."""
    shift = result.common_shift
    common = None if shift is None else {"east_m": shift.east_m, "north_m": shift.north_m, "share": shift.share}
    return {
        "equal": result.equal,
        "common_shift": common,
        "differences": [
            {
                "kind": str(item.kind),
                "a": item.a,
                "b": item.b,
                "what": item.what,
                "before": item.before,
                "after": item.after,
                "distance_m": item.distance_m,
            }
            for item in result.differences
        ],
        **reading_document(result.findings),
    }
