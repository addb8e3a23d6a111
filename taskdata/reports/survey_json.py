"""What lies on a stick, as one JSON document."""

from __future__ import annotations

from typing import Any

from taskdata.reports.reading import reading_document
from taskdata.results.survey import Item, Survey


def survey_document(survey: Survey) -> dict[str, Any]:
    """Return a survey as a document of plain values; bounds in degrees, widths in metres."""
    return {
        "source": survey.source,
        "items": [_item(item) for item in survey.items],
        "aside": [{"path": path, "why": why} for path, why in survey.aside],
        **reading_document(survey.findings),
    }


def _item(item: Item) -> dict[str, Any]:
    return {
        "path": item.path,
        "kind": str(item.kind),
        "format": item.format,
        "rows": item.rows,
        "confidence": item.confidence,
        "why": item.why,
        "columns": {str(role): names[0] if len(names) == 1 else list(names) for role, names in item.columns.items()},
        "crs": item.crs,
        "guess": None if item.guess is None else {"crs": item.guess.crs, "reasons": list(item.guess.reasons)},
        "width_m": item.width_m,
        "bounds": None if item.bounds is None else list(item.bounds),
    }
