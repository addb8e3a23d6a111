"""The result of an audit as SARIF 2.1.0 (OASIS), for code hosts and viewers of findings."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Mapping, Sequence
from typing import Any
from urllib.parse import quote

from taskdata.checks.baseline import fingerprint
from taskdata.checks.report import CheckReport
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.reports import words

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
_LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "note"}


def sarif_document(reports: Sequence[CheckReport], rules: Collection[Rule], version: str) -> dict[str, Any]:
    """Return one log with a run for each report.

    Parameters
    ----------
    reports : sequence of CheckReport
        The audits.
    rules : collection of Rule
        The catalogue, whose pages explain the rules that found something.
    version : str
        Version of this program.
    """
    pages = {rule.id: rule for rule in rules}
    return {"$schema": SCHEMA, "version": "2.1.0", "runs": [_run(report, pages, version) for report in reports]}


def _run(report: CheckReport, pages: Mapping[str, Rule], version: str) -> dict[str, Any]:
    found = sorted({finding.rule.id: finding.rule for finding in report.findings}.items())
    numbers = {name: number for number, (name, _) in enumerate(found)}
    described = [_rule(pages.get(name, rule)) for name, rule in found]
    driver = {"name": "taskdata", "semanticVersion": version, "rules": described}
    return {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "results": [_result(report, finding, numbers[finding.rule.id]) for finding in report.findings],
        "properties": {"source": report.source, "standardVersion": report.version, "summary": report.summary},
    }


def _rule(rule: Rule) -> dict[str, Any]:
    lines = rule.about.strip().splitlines() or [rule.id]
    return {
        "id": rule.id,
        "shortDescription": {"text": lines[0]},
        "fullDescription": {"text": rule.about.strip() or rule.id},
        "defaultConfiguration": {"level": _LEVELS[rule.severity]},
        "help": {"text": rule.about.strip() or rule.remedy},
        "properties": {"clause": rule.clause, "covers": list(rule.covers)},
    }


def _result(report: CheckReport, finding: Finding, number: int) -> dict[str, Any]:
    return {
        "ruleId": finding.rule.id,
        "ruleIndex": number,
        "level": _LEVELS[finding.severity],
        "message": {"text": f"{words.message(finding)} {words.remedy(finding)}"},
        "locations": [_location(report.source, finding.place)],
        "partialFingerprints": {"taskdata/v1": hashlib.sha256(fingerprint(finding).encode()).hexdigest()},
        **_properties(finding.place),
    }


def _location(source: str, place: Place) -> dict[str, Any]:
    path = source if place.file is None else f"{source.rstrip('/')}/{place.file}"
    physical: dict[str, Any] = {"artifactLocation": {"uri": quote(path.replace("\\", "/"))}}
    if place.line is not None:
        physical["region"] = {"startLine": place.line}
    elif place.offset is not None:
        physical["region"] = {"byteOffset": place.offset}
    found: dict[str, Any] = {"physicalLocation": physical}
    if place.element is not None or place.path is not None:
        logical = {"name": place.element, "fullyQualifiedName": place.path}
        found["logicalLocations"] = [{name: text for name, text in logical.items() if text is not None}]
    return found


def _properties(place: Place) -> dict[str, Any]:
    kept: dict[str, Any] = {}
    if place.location is not None:
        kept["longitude"], kept["latitude"] = place.location
    if place.record is not None:
        kept["record"] = place.record
    return {"properties": kept} if kept else {}
