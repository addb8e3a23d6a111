"""The result of an audit for a person: what to do first, then every rule with its places."""

from __future__ import annotations

from taskdata.findings import Finding, Severity
from taskdata.reports import words
from taskdata.reports.styled import Line, Style, wrapped
from taskdata.results.audit import CheckReport

CAUTION = (
    "The check reads data; it cannot tell whether a line or a rate is right for your field. Drive the first pass by "
    "eye, keep people clear, and obey the product label and local rules."
)
FIRST = ("internal", "file", "version", "schema", "external", "identity", "reference")
STYLES: dict[Severity, Style] = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "note"}


def check_text(report: CheckReport, *, caution: bool = True) -> list[Line]:
    """Return the report in lines of 80 columns: summary, first step, then findings grouped by rule, gravest first.

    ``caution`` ends it with what a check cannot tell; of several reports the last part says it once.
    """
    groups = _groups(report.findings)
    lines = [Line(_title(report), "heading"), *wrapped(_summary(report))]
    if groups:
        lines += wrapped(_first_step(groups[0]), hanging=2)
    for group in groups:
        lines += [Line(""), *_group(group)]
    return [*lines, Line(""), *wrapped(CAUTION, style="quiet")] if caution else lines


def _title(report: CheckReport) -> str:
    version = f"version {report.version}" if report.version else "version unknown"
    return f"{report.source} ({version})"


def _summary(report: CheckReport) -> str:
    parts = [words.counted(count, severity) for severity, count in report.summary.items() if count]
    return f"{', '.join(parts)}." if parts else "Nothing found."


def _groups(findings: tuple[Finding, ...]) -> list[list[Finding]]:
    """Gather findings of one rule and severity: gravest first, then what hides or explains other faults."""
    found: dict[tuple[str, Severity], list[Finding]] = {}
    for finding in findings:
        found.setdefault((finding.rule.id, finding.severity), []).append(finding)
    return sorted(found.values(), key=_order)


def _order(group: list[Finding]) -> tuple[int, int]:
    family = group[0].rule.id.partition(".")[0]
    return group[0].severity.rank, FIRST.index(family) if family in FIRST else len(FIRST)


def _first_step(group: list[Finding]) -> str:
    first = group[0]
    where = words.standing(first)
    return f"Begin with {first.rule.id}{f' in {where}' if where else ''}: {words.remedy(first)}"


def _group(group: list[Finding]) -> list[Line]:
    first = group[0]
    clause = f"  [{first.rule.clause}]" if first.rule.clause else ""
    lines = [Line(f"{str(first.severity).upper()}  {first.rule.id}{clause}", STYLES[first.severity])]
    remedies = [words.remedy(finding) for finding in group]
    shared = len(set(remedies)) == 1
    for finding, remedy in zip(group, remedies, strict=True):
        where = words.standing(finding)
        lines += wrapped(f"{where}: {words.message(finding)}" if where else words.message(finding), 2, hanging=2)
        if not shared:
            lines += wrapped(f"To do: {remedy}", 4, hanging=2)
    return lines + (wrapped(f"To do: {remedies[0]}", 2, hanging=2) if shared else [])
