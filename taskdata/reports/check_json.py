"""The result of an audit as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from typing import Any

from taskdata.findings import Finding, unread_of
from taskdata.reports import words
from taskdata.reports.check_totals import check_totals
from taskdata.results.audit import Audited, CheckReport, UnreadSource


def check_document(report: CheckReport) -> dict[str, Any]:
    """Return the document of ``check --format json``."""
    return {
        "source": report.source,
        "version": report.version,
        "summary": report.summary,
        "warnings": [],
        "unread": [{"file": item.file, "what": item.what, "why": item.why} for item in unread_of(report.findings)],
        "findings": [
            finding_document(finding, repair)
            for finding, repair in zip_longest(report.findings, report.repairs[: len(report.findings)])
        ],
    }


def check_documents(outcomes: Sequence[Audited]) -> dict[str, Any]:
    """Return one document for one source, or one that lists several with totals; an unread source has an error."""
    documents = [
        {"source": item.source, "error": item.error} if isinstance(item, UnreadSource) else check_document(item)
        for item in outcomes
    ]
    return documents[0] if len(documents) == 1 else {"sources": documents, "totals": check_totals(outcomes)}


def finding_document(finding: Finding, repair: str | None = None) -> dict[str, Any]:
    """Return one finding as it stands in every document that lists findings; ``repair`` is the standing of its own."""
    place = finding.place
    return {
        "rule": finding.rule.id,
        "severity": str(finding.severity),
        "message": words.message(finding),
        "file": place.file,
        "line": place.line,
        "element": place.element,
        "path": place.path,
        "clause": finding.rule.clause,
        "location": None if place.location is None else list(place.location),
        "repair": None if repair is None else str(repair),
    }
