"""What a merge did, as JSON."""

from __future__ import annotations

from typing import Any

from taskdata.reports.choosing import chosen_document, notes_of
from taskdata.reports.convert_json import loss_document
from taskdata.reports.new_errors import new_errors_document
from taskdata.reports.reading import reading_document
from taskdata.results.merging import Decision, Merging


def merge_document(result: Merging) -> dict[str, Any]:
    """Return the document of ``merge --json``.

    ::

        {"sources": [str], "target": str, "written": {"fields": int, ...},
         "merged": [{"element": id, "what": str, "by": str, "ids": {source: id}}],
         "renumbered": {source: {old: new}},
         "journal": [{"kind": "recognised"|"conflict"|"renamed", "element": id|null, "what": str, "why": str,
                      "kept": str|null, "dropped": [str]}],
         "losses": [{"kind", "element", "what", "why"}],
         "new_errors": [findings of the target in the form of check],
         "findings": [], "warnings": [str], "unread": [{"file", "what", "why"}]}

    Where a part was chosen, ``left_out`` counts by kind what of the sources stayed behind.
    ``element`` is an identifier of the target. ``by`` says by what a thing was recognised.
    """
    return {
        "sources": list(result.sources),
        "target": result.target,
        "written": dict(result.written),
        "merged": [
            {"element": item.element, "what": item.what, "by": str(item.how), "ids": dict(item.sources)}
            for item in result.merged
        ],
        "renumbered": {source: dict(changes) for source, changes in result.renumbered.items()},
        "journal": [decision_document(item) for item in result.journal],
        "losses": [loss_document(loss) for loss in result.losses],
        "new_errors": new_errors_document(result.new_errors),
        **chosen_document(result.chosen),
        **reading_document(result.findings, notes_of(result.chosen)),
    }


def decision_document(decision: Decision) -> dict[str, Any]:
    """Return one line of the journal."""
    return {
        "kind": str(decision.kind),
        "element": decision.element,
        "what": decision.what,
        "why": decision.why,
        "kept": decision.kept,
        "dropped": list(decision.dropped),
    }
