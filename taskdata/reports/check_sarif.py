"""The result of an audit as SARIF 2.1.0 (OASIS), for code hosts and viewers of findings."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Mapping, Sequence
from pathlib import PurePath
from typing import Any
from urllib.parse import quote

from taskdata.arguments import as_option
from taskdata.checks.baseline import fingerprint
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.reports import words
from taskdata.reports.rule_page import parse_page
from taskdata.results.audit import Audited, CheckReport, UnreadSource

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
_LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "note"}


def sarif_document(outcomes: Sequence[Audited], rules: Collection[Rule], version: str) -> dict[str, Any]:
    """Return one log with a run for each source.

    Parameters
    ----------
    outcomes : sequence of CheckReport or UnreadSource
        The audits; one that did not take place is a run that failed, with its reason.
    rules : collection of Rule
        The catalogue, whose pages explain the rules that found something.
    version : str
        Version of this program.
    """
    pages = {rule.id: rule for rule in rules}
    runs = [
        _failed(item, version) if isinstance(item, UnreadSource) else _run(item, pages, version) for item in outcomes
    ]
    return {"$schema": SCHEMA, "version": "2.1.0", "runs": runs}


def _failed(unread: UnreadSource, version: str) -> dict[str, Any]:
    notice = {"level": "error", "message": {"text": _plain(unread.error)}}
    return {
        "tool": {"driver": {"name": "taskdata", "semanticVersion": version}},
        "invocations": [{"executionSuccessful": False, "toolExecutionNotifications": [notice]}],
        "results": [],
        "properties": {"source": unread.source},
    }


def _run(report: CheckReport, pages: Mapping[str, Rule], version: str) -> dict[str, Any]:
    found = sorted({finding.rule.id: finding.rule for finding in report.findings}.items())
    numbers = {name: number for number, (name, _) in enumerate(found)}
    described = [_rule(pages.get(name, rule)) for name, rule in found]
    driver = {"name": "taskdata", "semanticVersion": version, "rules": described}
    folder = report.folder or report.source
    return {
        "tool": {"driver": driver},
        "invocations": [{"executionSuccessful": True}],
        "columnKind": "unicodeCodePoints",
        "results": [_result(folder, finding, numbers[finding.rule.id]) for finding in report.findings],
        "properties": {"source": report.source, "standardVersion": report.version, "summary": report.summary},
    }


def _rule(rule: Rule) -> dict[str, Any]:
    title = parse_page(rule.about).title if rule.about else rule.id
    return {
        "id": rule.id,
        "shortDescription": {"text": title},
        "fullDescription": {"text": rule.about.strip() or rule.id},
        "defaultConfiguration": {"level": _LEVELS[rule.severity]},
        "help": {"text": rule.about.strip() or as_option(rule.remedy)},
        "properties": {"clause": rule.clause, "covers": list(rule.covers)},
    }


def _result(folder: str, finding: Finding, number: int) -> dict[str, Any]:
    return {
        "ruleId": finding.rule.id,
        "ruleIndex": number,
        "level": _LEVELS[finding.severity],
        "message": {"text": _plain(f"{words.message(finding)} {words.remedy(finding)}")},
        "locations": [_location(folder, finding.place)],
        "partialFingerprints": {
            "taskdata/v1": hashlib.sha256(fingerprint(finding).encode(errors="surrogateescape")).hexdigest()
        },
        **_properties(finding.place),
    }


def _plain(text: str) -> str:
    """Return a text in which nothing is a link or a place for an argument (SARIF 2.1.0, 3.11.5 and 3.11.6).

    A name of the source may look like one; viewers follow what they take for a link.
    """
    if "](" in text:
        text = text.replace("\\", "\\\\").replace("[", "\\[").replace("]", "\\]")
    return text.replace("{", "{{").replace("}", "}}")


def _location(folder: str, place: Place) -> dict[str, Any]:
    path = PurePath(folder) if place.file is None else PurePath(folder, place.file)
    uri = path.as_uri() if path.is_absolute() else quote(path.as_posix())
    physical: dict[str, Any] = {"artifactLocation": {"uri": uri}}
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
