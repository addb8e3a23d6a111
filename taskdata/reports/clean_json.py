"""What a cleaning did, as JSON: the document of ``clean --json`` and the journal beside the target."""

from __future__ import annotations

from itertools import zip_longest
from typing import Any

from taskdata import strict_json
from taskdata.reports.check_json import finding_document
from taskdata.reports.convert_json import loss_document
from taskdata.reports.new_errors import new_errors_document
from taskdata.reports.reading import reading_document
from taskdata.results.cleaning import Change, Cleaning


def clean_document(result: Cleaning) -> dict[str, Any]:
    """Return the document."""
    return {
        "source": result.source,
        "target": result.target,
        "changes": [change_document(change) for change in result.changes],
        "left": [finding_document(item, repair) for item, repair in zip_longest(result.left, result.repairs)],
        "before": result.before,
        "after": result.after,
        "failed": [finding_document(item) for item in result.failed],
        "losses": [loss_document(loss) for loss in result.losses],
        "new_errors": new_errors_document(result.new_errors),
        **reading_document(result.findings),
    }


def journal_text(result: Cleaning) -> str:
    """Return the journal as the text of a JSON file."""
    return strict_json.dumps(clean_document(result), indent=2) + "\n"


def change_document(change: Change) -> dict[str, Any]:
    """Return one line of the journal."""
    return {
        "rule": change.rule,
        "standing": str(change.standing),
        "element": change.element,
        "path": change.path,
        "file": change.file,
        "before": change.before,
        "after": change.after,
        "reason": change.reason,
    }
